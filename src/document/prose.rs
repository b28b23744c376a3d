//! Inline Markdown as a tree.

use comrak::nodes::{AstNode, NodeCode, NodeLink, NodeMath, NodeValue, Sourcepos};

use super::headings::Names;
use super::markup::{Hole, Image, Inline, Link, Style};
use super::places::Body;
use super::tree::{Step, Visitor, walk};
use super::{comments, links, markdown};
use crate::diagnostic::{Code, Diagnostic};

/// Emphasis inside more than this many others has no tags.
const DEEPEST: usize = 100;

/// Reads inline nodes.
#[derive(Debug)]
pub(super) struct Inlines<'b, 's> {
    body: &'b Body<'s>,
    /// What links inside the worksheet may go to.
    names: Names,
    /// What has been read since the last call of [`Self::take`], and what is read of each open
    /// emphasis and link, innermost last.
    done: Vec<Inline<Hole>>,
    open: Vec<Vec<Inline<Hole>>>,
    /// How many emphases are open.
    depth: usize,
    /// What is wrong with links.
    pub(super) diagnostics: Vec<Diagnostic>,
}

impl<'b, 's> Inlines<'b, 's> {
    /// For a body whose headings have these names.
    pub(super) fn new(body: &'b Body<'s>, names: Names) -> Self {
        Self {
            body,
            names,
            done: Vec::new(),
            open: Vec::new(),
            depth: 0,
            diagnostics: Vec::new(),
        }
    }

    /// What has been read since the last call.
    pub(super) fn take(&mut self) -> Vec<Inline<Hole>> {
        // Exactly as much as is kept; room to grow stays here.
        self.done.drain(..).collect()
    }

    fn innermost(&mut self) -> &mut Vec<Inline<Hole>> {
        self.open.last_mut().unwrap_or(&mut self.done)
    }

    fn push(&mut self, inline: Inline<Hole>) {
        self.innermost().push(inline);
    }

    /// Words; those in a row are one text.
    fn text(&mut self, text: &str) {
        if let Some(Inline::Text(before)) = self.innermost().last_mut() {
            before.push_str(text);
        } else {
            self.push(Inline::Text(text.to_owned()));
        }
    }

    fn open(&mut self) {
        self.depth += 1;
        if self.depth <= DEEPEST {
            self.open.push(Vec::new());
        }
    }

    fn close(&mut self, style: Style) {
        if self.depth <= DEEPEST
            && let Some(mut content) = self.open.pop()
        {
            content.shrink_to_fit();
            self.push(Inline::Styled(style, content));
        }
        self.depth = self.depth.saturating_sub(1);
    }

    fn code(&mut self, place: Sourcepos, code: &NodeCode) {
        let text = code.literal.clone();
        self.push(match self.body.code(place, code.num_backticks, &text) {
            Some(span) => Inline::other(Hole::Code { span, text }),
            None => Inline::Code(text),
        });
    }

    fn math(&mut self, place: Sourcepos, math: &NodeMath) {
        let dollars = if math.display_math { 2 } else { 1 };
        self.push(Inline::other(Hole::Tex {
            span: self.body.tex(place, dollars, &math.literal),
            tex: math.literal.trim().to_owned(),
            display: math.display_math,
        }));
    }

    fn enter_link<'a>(&mut self, node: &'a AstNode<'a>, link: &NodeLink) -> Step {
        if let Some(label) = markdown::label(&link.url) {
            self.reference(node, label, "");
            return Step::Past;
        }
        if links::may_be_followed(&link.url) {
            self.open.push(Vec::new());
        } else {
            self.not_followed(
                node.data().sourcepos,
                "link to",
                &link.url,
                "an address that begins with https:, http: or mailto:, a path, or #heading",
            );
        }
        Step::Inside
    }

    fn leave_link(&mut self, link: &NodeLink) {
        let content = self.open.pop().unwrap_or_default();
        self.push(Inline::Link(Box::new(Link {
            url: self.resolved(&link.url),
            title: link.title.clone(),
            content,
        })));
    }

    /// A link to a heading by its plain slug goes to the heading's name.
    fn resolved(&self, url: &str) -> String {
        let name = url.strip_prefix('#').map(|slug| format!("h-{slug}"));
        match name {
            Some(name) if self.names.contains(&name) => format!("#{name}"),
            _ => url.to_owned(),
        }
    }

    fn not_followed(&mut self, place: Sourcepos, what: &str, url: &str, help: &str) {
        const SHOWN: usize = 60;
        let shown: String = url.chars().take(SHOWN).collect();
        let dots = if shown.len() < url.len() { "…" } else { "" };
        self.diagnostics.push(
            Diagnostic::warning(
                Code::M08,
                self.body.place(place),
                format!("the {what} `{shown}{dots}` is not followed, only its words are shown"),
            )
            .with_help(help),
        );
    }

    fn reference<'a>(&mut self, node: &'a AstNode<'a>, label: &str, bang: &str) {
        let text = plain_text(node);
        let written = match text == label {
            true => format!("{bang}[{label}]"),
            false => format!("{bang}[{text}][{label}]"),
        };
        // An image has no equation to go to, and `- [x]` is a task that is done.
        if !bang.is_empty() || is_task(node, label) {
            self.text(&written);
            return;
        }
        let span = self.body.place(node.data().sourcepos);
        self.push(Inline::other(Hole::Reference {
            text: (text != label).then_some(text),
            label: label.to_owned(),
            span,
            written,
        }));
    }

    fn image<'a>(&mut self, node: &'a AstNode<'a>, link: &NodeLink) {
        if let Some(label) = markdown::label(&link.url) {
            self.reference(node, label, "!");
            return;
        }
        let words = plain_text(node);
        if links::may_be_shown(&link.url) {
            let span = self.body.place(node.data().sourcepos);
            self.push(Inline::other(Hole::Picture {
                image: Box::new(Image {
                    url: link.url.clone(),
                    source: None,
                    title: link.title.clone(),
                    words,
                    width: None,
                }),
                span,
                is_alone: false,
            }));
        } else {
            self.text(&words);
            let help = "the path of a picture that lies beside the worksheet";
            self.not_followed(node.data().sourcepos, "image", &link.url, help);
        }
    }
}

impl<'a> Visitor<'a> for Inlines<'_, '_> {
    fn enter(&mut self, node: &'a AstNode<'a>) -> Step {
        let data = node.data();
        match &data.value {
            NodeValue::Text(text) => self.text(text),
            NodeValue::HtmlInline(text) if comments::is_one(text) => {}
            NodeValue::HtmlInline(text) | NodeValue::Raw(text) => self.text(text),
            NodeValue::SoftBreak => self.text("\n"),
            NodeValue::LineBreak => self.push(Inline::LineBreak),
            NodeValue::Emph | NodeValue::Strong | NodeValue::Strikethrough => self.open(),
            NodeValue::Code(code) => self.code(data.sourcepos, code),
            NodeValue::Math(math) => self.math(data.sourcepos, math),
            NodeValue::Link(link) => return self.enter_link(node, link),
            NodeValue::Image(link) => {
                self.image(node, link);
                return Step::Past;
            }
            NodeValue::FootnoteReference(note) => self.push(Inline::Note {
                number: note.ix as usize,
                is_first: note.ref_num == 1,
            }),
            _ => {}
        }
        Step::Inside
    }

    fn leave(&mut self, node: &'a AstNode<'a>) {
        match &node.data().value {
            NodeValue::Emph => self.close(Style::Emphasis),
            NodeValue::Strong => self.close(Style::Strong),
            NodeValue::Strikethrough => self.close(Style::Struck),
            NodeValue::Link(link) if links::may_be_followed(&link.url) => self.leave_link(link),
            _ => {}
        }
    }
}

/// The text of a paragraph that begins with `skip` bytes which are not the author's.
pub(super) fn description<'a>(
    body: &Body<'_>,
    root: &'a AstNode<'a>,
    skip: usize,
) -> Vec<Inline<Hole>> {
    let mut inlines = Inlines::new(body, Names::default());
    walk(root, &mut inlines);
    let mut text = inlines.take();
    if let Some(Inline::Text(first)) = text.first_mut() {
        first.drain(..skip.min(first.len()));
        if first.is_empty() {
            text.remove(0);
        }
    }
    text
}

/// The words of a node, without marks.
pub(super) fn plain_text<'a>(node: &'a AstNode<'a>) -> String {
    let mut words = Words::default();
    walk(node, &mut words);
    words.0
}

#[derive(Default)]
struct Words(String);

impl<'a> Visitor<'a> for Words {
    fn enter(&mut self, node: &'a AstNode<'a>) -> Step {
        match &node.data().value {
            NodeValue::Text(text) => self.0.push_str(text),
            NodeValue::HtmlInline(text) if comments::is_one(text) => {}
            NodeValue::HtmlInline(text) | NodeValue::Raw(text) => self.0.push_str(text),
            NodeValue::Code(code) => self.0.push_str(&code.literal),
            NodeValue::Math(math) => self.0.push_str(math.literal.trim()),
            NodeValue::SoftBreak | NodeValue::LineBreak => self.0.push(' '),
            _ => {}
        }
        Step::Inside
    }

    fn leave(&mut self, _: &'a AstNode<'a>) {}
}

/// Whether this is the box of a task: `[x]` at the beginning of a list item.
fn is_task<'a>(node: &'a AstNode<'a>, label: &str) -> bool {
    label.eq_ignore_ascii_case("x")
        && node.previous_sibling().is_none()
        && node
            .parent()
            .and_then(|paragraph| paragraph.parent())
            .is_some_and(|item| matches!(item.data().value, NodeValue::Item(_)))
}

#[cfg(test)]
mod tests {
    use super::super::shown::{diagnostics, pieces, text};
    use super::super::{Inline, parse, parse_inline};
    use crate::diagnostic::Code;
    use crate::text::{Source, Span};

    #[test]
    fn code_spans_are_found_in_the_source() {
        assert_eq!(
            pieces("é `` a`b `` *`p_1 = ? bar`* [`c`](d)\n\n> x `a\n> b`\n"),
            [
                "<p>é {code a`b} <em>{code p_1 = ? bar}</em> <a d>{code c}</a></p>",
                "<quote><p>x {code a\n> b}</p></quote>",
            ]
        );
        assert_eq!(
            pieces("| a \\| `b` \\| `c` |\n|-|\n"),
            ["<table><tr><th>a | {code b} | {code c}</th></tr></table>"]
        );
    }

    #[test]
    fn tex_is_taken_out_with_its_place() {
        assert_eq!(
            pieces("a $x_1$ for \\$5 and $6\n\n$$\n\\frac{a}{b}\n$$\n"),
            [
                "<p>a {tex x_1} for $5 and $6</p>",
                "<p>{display \\frac{a}{b}}</p>"
            ]
        );
    }

    #[test]
    fn a_label_without_a_definition_may_be_an_equation() {
        assert_eq!(
            pieces("[balance], [equation *e-1*][e-1], [b][], [ISO 1], [d]\n\n[d]: /u\n"),
            [
                "<p>{label balance [balance]}, {label e-1 (equation e-1) [equation *e-1*][e-1]}, \
              {label b [b][]}, [ISO 1], <a /u>d</a></p>"
            ]
        );
    }

    #[test]
    fn a_reference_can_be_printed_as_it_is_written() {
        let (document, _) = parse(&Source::new("w.md", "# [<b>x][bal]\n"));
        let written = format!("{:?}", document.pieces);
        assert!(written.contains("[<b>x][bal]"), "{written}");
    }

    #[test]
    fn links_to_elsewhere_lose_their_destination_and_are_reported() {
        let text = "[a](javascript:alert(1)) ![b *c*](https://a.example/b.png) ![d](e.png \"t\")\n";
        assert_eq!(pieces(text), ["<p>a b c {img e.png t: d}</p>"]);
        assert_eq!(
            diagnostics(text),
            [
                (Code::M08, "[a](javascript:alert(1))".to_owned()),
                (Code::M08, "![b *c*](https://a.example/b.png)".to_owned()),
            ]
        );
    }

    fn described(words: &str) -> String {
        let source = Source::new("w.md", format!("é -- {words}\nx"));
        let span = Span::new("é -- ".len(), "é -- ".len() + words.len());
        text(&source, &parse_inline(source.text(), span))
    }

    #[test]
    fn descriptions_have_inline_markdown_and_no_blocks() {
        assert_eq!(described("plain > text"), "plain > text");
        assert_eq!(
            described("# *a* `b = ?` $c$ [d]"),
            "# <em>a</em> {code b = ?} {tex c} {label d [d]}"
        );
        assert_eq!(described("- [^1] <b> [x](javascript:y)"), "- [^1] <b> x");
        assert_eq!(described("*a*"), "<em>a</em>");
        assert_eq!(described(""), "");
        let source = Source::new("w.md", "```x");
        let whole = parse_inline(source.text(), Span::new(0, 4));
        assert_eq!(whole, [Inline::Text("```x".to_owned())]);
    }
}
