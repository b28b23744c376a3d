//! Figures: the drawing and its caption. What was drawn stands on the page for screens alone.

use super::super::tree::Figure;
use super::Writer;
use crate::drawing::latex;

impl Writer<'_> {
    pub(super) fn figure(&mut self, figure: &Figure) {
        self.out.push_str("\n\\par\\medskip");
        self.target(&figure.id);
        self.out
            .push_str("\\noindent\\begin{minipage}{\\linewidth}\n");
        latex::write(&figure.wide, self.out);
        self.out.push_str("\\par\\smallskip\n");
        self.text(&figure.caption);
        self.out.push_str("\n\\end{minipage}\\par\\medskip\n");
    }
}
