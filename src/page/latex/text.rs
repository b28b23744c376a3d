//! Words, and what stands among them.

use std::fmt::Write;

use super::super::tree::{Aside, Listed, Manner, Set, Text, cited};
use super::{Writer, tex};
use crate::document::{Image, Inline, Style, Tex, Width};
use crate::typeset::{Kind, Node, latex};

/// A word that is longer may be broken anywhere.
const LONG_WORD: usize = 30;

/// What `graphicx` shows.
const PICTURES: [&str; 4] = ["png", "jpg", "jpeg", "pdf"];

impl Writer<'_> {
    pub(super) fn text(&mut self, text: &Text) {
        self.inlines(&text.0);
    }

    /// The same with large fractions.
    pub(super) fn large(&mut self, text: &Text) {
        self.is_large = true;
        self.text(text);
        self.is_large = false;
    }

    /// Words as they are.
    pub(super) fn words(&mut self, words: &str) {
        for (index, word) in words.split(' ').enumerate() {
            if index > 0 {
                self.out.push(' ');
            }
            if word.len() <= LONG_WORD {
                latex::escape(word, self.out);
                continue;
            }
            let characters: Vec<char> = word.chars().collect();
            for (index, piece) in characters.chunks(LONG_WORD).enumerate() {
                if index > 0 {
                    self.out.push_str("\\allowbreak{}");
                }
                latex::escape(&piece.iter().collect::<String>(), self.out);
            }
        }
    }

    /// A place that is led to.
    pub(super) fn target(&mut self, id: &str) {
        self.out.push_str("\\target{");
        self.anchor(id);
        self.out.push('}');
    }

    /// An id in letters that TeX has no meaning for.
    fn anchor(&mut self, id: &str) {
        for byte in id.bytes() {
            match byte {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' => self.out.push(byte.into()),
                // Writing to a string cannot fail.
                other => {
                    let _ = write!(self.out, ".{other:02x}");
                }
            }
        }
    }

    pub(super) fn inlines(&mut self, inlines: &[Inline<Set>]) {
        inlines.iter().for_each(|inline| self.inline(inline));
    }

    fn inline(&mut self, inline: &Inline<Set>) {
        match inline {
            Inline::Text(words) => self.words(words),
            Inline::LineBreak => self.out.push_str("\\hfil\\break{}"),
            Inline::Styled(style, content) => {
                let command = match style {
                    Style::Emphasis => "emph",
                    Style::Strong => "textbf",
                    Style::Struck => "struckout",
                };
                self.command(command, |writer| writer.inlines(content));
            }
            Inline::Code(code) => self.command("texttt", |writer| writer.words(code)),
            Inline::Tex(tex) => self.tex(tex),
            Inline::Link(link) => self.link(&link.url, &link.content),
            Inline::Image(image) => self.image(image),
            Inline::Note { number, .. } => {
                self.command("textsuperscript", |writer| {
                    let words = Text::new(number.to_string());
                    writer.to(&format!("fn-{number}"), &words.0);
                });
            }
            Inline::Other(set) => self.set(set),
        }
    }

    /// TeX that is not known to compile is shown as its source.
    fn tex(&mut self, tex: &Tex) {
        if tex.mathml.is_none() || !tex::compiles(&tex.tex) {
            return self.command("texttt", |writer| writer.words(&tex.tex));
        }
        self.out
            .push_str(if tex.display { "$\\displaystyle " } else { "$" });
        self.out.push_str(&tex.tex.replace(['\n', '\r'], " "));
        self.out.push('$');
    }

    fn link(&mut self, url: &str, content: &[Inline<Set>]) {
        if let Some(id) = url.strip_prefix('#') {
            return self.to(id, content);
        }
        self.out.push_str("\\href{");
        for byte in url.bytes() {
            match byte {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' => self.out.push(byte.into()),
                b'-' | b'.' | b'!' | b'*' | b'(' | b')' | b';' | b'/' | b'?' | b':' | b'@'
                | b'=' | b'+' | b',' => self.out.push(byte.into()),
                b'_' | b'&' | b'#' | b'%' | b'$' => {
                    self.out.push('\\');
                    self.out.push(byte.into());
                }
                // Writing to a string cannot fail.
                other => {
                    let _ = write!(self.out, "\\%{other:02X}");
                }
            }
        }
        self.out.push('}');
        self.group(|writer| writer.inlines(content));
    }

    fn to(&mut self, id: &str, content: &[Inline<Set>]) {
        self.out.push_str("\\hyperlink{");
        self.anchor(id);
        self.out.push('}');
        self.group(|writer| writer.inlines(content));
    }

    /// A picture beside the document; its words where TeX cannot show it.
    pub(super) fn image(&mut self, image: &Image) {
        let (path, words) = (image.url.replace("%20", " "), &image.words);
        let is_plain = |letter: char| letter.is_ascii_alphanumeric() || " ._-/".contains(letter);
        let extension = path.rsplit('.').next().unwrap_or("").to_lowercase();
        if PICTURES.contains(&extension.as_str()) && path.chars().all(is_plain) {
            match image.width {
                None => self.command("pictureline", |writer| writer.out.push_str(&path)),
                Some(width) => {
                    let width = match width {
                        Width::Millimetres(width) => format!("{width:.2}mm"),
                        Width::Part(part) => format!("{part:.4}\\linewidth"),
                    };
                    self.command("widepicture", |writer| writer.out.push_str(&path));
                    self.group(|writer| writer.out.push_str(&width));
                }
            }
            self.group(|writer| writer.words(words));
        } else {
            self.out.push_str("{[}");
            self.words(words);
            self.out.push_str("{]}");
        }
    }

    fn set(&mut self, set: &Set) {
        match set {
            Set::Formula(node) => {
                if self.out.ends_with('$') && begins_with_relation(node) {
                    self.out.push_str("\\;");
                }
                self.out.push('$');
                if self.is_large {
                    self.out.push_str("\\displaystyle ");
                }
                latex::write(node, self.out);
                self.out.push('$');
            }
            Set::Words(text) => self.text(text),
            Set::Span(manner, text) => self.span(*manner, text),
            Set::OwnLine(aside, text) => {
                self.out.push_str("\\par ");
                match aside {
                    Aside::About | Aside::Verdict => {
                        self.command("aboutwords", |writer| writer.text(text));
                    }
                    Aside::More => self.text(text),
                }
            }
            Set::To(id, text) => self.to(id, &text.0),
            Set::Cited { id, words, number } => {
                self.to(id, &Text::new(cited(words, *number)).0);
            }
            Set::Picture(picture) => self.image(&picture.image),
            Set::MayBreak => self.out.push_str("\\ \\allowbreak{}"),
            Set::Room { digits, has_point } => {
                let point = if *has_point { "." } else { "" };
                let digits = "0".repeat(*digits);
                self.out.push_str(&format!("\\phantom{{{point}{digits}}}"));
            }
            Set::List { rows, columns } => self.list(rows, *columns),
        }
    }

    fn span(&mut self, manner: Manner, text: &Text) {
        match manner {
            Manner::Value => self.command("mbox", |writer| writer.text(text)),
            Manner::Mark => {
                self.text(text);
                self.out.push_str("\\enspace{}");
            }
            Manner::About => {
                self.out.push_str("\\quad ");
                self.command("aboutwords", |writer| writer.text(text));
            }
            // Small capitals would change a unit.
            Manner::AsWritten => self.command("textup", |writer| writer.text(text)),
            Manner::Piece => self.command("piece", |writer| writer.text(text)),
            Manner::Quiet | Manner::Failed => self.text(text),
        }
    }

    /// A list as a small table, its entries below those that they belong to.
    fn list(&mut self, rows: &[Listed], columns: usize) {
        let count = rows.last().map_or(0, |row| row.entries.len());
        let aligned = "l".repeat(columns.min(count) + 1);
        self.out.push_str("\\begin{tabular}[t]{");
        self.out.push_str(&aligned);
        self.out.push('}');
        for start in (0..count).step_by(columns) {
            for row in rows {
                self.text(&row.name);
                for own in row.entries.iter().skip(start).take(columns) {
                    self.out.push('&');
                    self.text(own);
                }
                self.out.push_str("\\\\");
            }
        }
        self.out.push_str("\\end{tabular}");
    }
}

/// Whether a formula goes on with the one in front of it: TeX keeps no distance there.
fn begins_with_relation(node: &Node) -> bool {
    if let Node::Row(parts) | Node::Beside(parts) = node {
        return parts.first().is_some_and(begins_with_relation);
    }
    matches!(node, Node::Operator(_, Kind::Relation))
}
