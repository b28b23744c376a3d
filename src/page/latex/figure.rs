//! Figures: the drawing and its caption. What was drawn stands on the page for screens alone.

use super::super::tree::{Figure, Picture, Text};
use super::Writer;
use crate::drawing::latex;

impl Writer<'_> {
    /// A picture of the author.
    pub(super) fn picture(&mut self, picture: &Picture) {
        self.framed(&picture.id, &picture.caption, |writer| {
            writer.out.push_str("\\noindent ");
            writer.image(&picture.image);
        });
    }

    pub(super) fn figure(&mut self, figure: &Figure) {
        self.framed(&figure.id, &figure.caption, |writer| {
            latex::write(&figure.wide, writer.out);
        });
    }

    /// What `write` writes, with its caption on the same sheet.
    fn framed(&mut self, id: &str, caption: &Text, write: impl FnOnce(&mut Self)) {
        self.out.push_str("\n\\par\\medskip");
        self.target(id);
        self.out
            .push_str("\\noindent\\begin{minipage}{\\linewidth}\n");
        write(self);
        self.out.push_str("\\par\\smallskip\n");
        self.text(caption);
        self.out.push_str("\n\\end{minipage}\\par\\medskip\n");
    }
}
