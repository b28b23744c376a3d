//! Inline Markdown as fragments.

use comrak::nodes::{AstNode, NodeCode, NodeLink, NodeMath, NodeValue, Sourcepos};

use super::headings::Names;
use super::places::Body;
use super::tree::{Step, Visitor, walk};
use super::{Fragment, escape, links, markdown};
use crate::diagnostic::{Code, Diagnostic};

/// Emphasis inside more than this many others has no tags.
const DEEPEST: usize = 100;

/// Writes inline nodes, and collects what blocks write around them.
#[derive(Debug)]
pub(super) struct Inlines<'b, 's> {
    body: &'b Body<'s>,
    /// What links inside the worksheet may go to.
    names: Names,
    /// HTML after the last fragment.
    pub(super) html: String,
    fragments: Vec<Fragment>,
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
            html: String::new(),
            fragments: Vec::new(),
            depth: 0,
            diagnostics: Vec::new(),
        }
    }

    /// What has been written since the last call.
    pub(super) fn take(&mut self) -> Vec<Fragment> {
        self.flush();
        std::mem::take(&mut self.fragments)
    }

    fn flush(&mut self) {
        if !self.html.is_empty() {
            let html = std::mem::take(&mut self.html);
            self.fragments.push(Fragment::Html(html));
        }
    }

    fn push(&mut self, fragment: Fragment) {
        self.flush();
        self.fragments.push(fragment);
    }

    fn open(&mut self, tag: &str) {
        self.depth += 1;
        if self.depth <= DEEPEST {
            self.html.push_str(tag);
        }
    }

    fn close(&mut self, tag: &str) {
        if self.depth <= DEEPEST {
            self.html.push_str(tag);
        }
        self.depth = self.depth.saturating_sub(1);
    }

    fn code(&mut self, place: Sourcepos, code: &NodeCode) {
        let mut html = String::from("<code>");
        escape::text(&mut html, &code.literal);
        html.push_str("</code>");
        match self.body.code(place, code.num_backticks, &code.literal) {
            Some(span) => self.push(Fragment::Code { span, html }),
            None => self.html.push_str(&html),
        }
    }

    fn math(&mut self, place: Sourcepos, math: &NodeMath) {
        let dollars = if math.display_math { 2 } else { 1 };
        self.push(Fragment::Tex {
            span: self.body.tex(place, dollars, &math.literal),
            tex: math.literal.trim().to_owned(),
            display: math.display_math,
        });
    }

    fn enter_link<'a>(&mut self, node: &'a AstNode<'a>, link: &NodeLink) -> Step {
        let place = node.data().sourcepos;
        if let Some(label) = markdown::label(&link.url) {
            self.reference(node, label, "");
            return Step::Past;
        }
        if links::may_be_followed(&link.url) {
            self.html.push_str("<a href=\"");
            let url = self.resolved(&link.url);
            escape::destination(&mut self.html, &url);
            self.html.push('"');
            self.title(&link.title);
            self.html.push('>');
        } else {
            self.not_followed(
                place,
                "link to",
                &link.url,
                "an address that begins with https:, http: or mailto:, a path, or #heading",
            );
        }
        Step::Inside
    }

    /// A link to a heading by its plain slug goes to the heading's name.
    fn resolved(&self, url: &str) -> String {
        let name = url.strip_prefix('#').map(|slug| format!("h-{slug}"));
        match name {
            Some(name) if self.names.contains(&name) => format!("#{name}"),
            _ => url.to_owned(),
        }
    }

    fn title(&mut self, title: &str) {
        if !title.is_empty() {
            self.html.push_str(" title=\"");
            escape::attribute(&mut self.html, title);
            self.html.push('"');
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
        let mut html = String::new();
        escape::text(&mut html, &written);
        // An image has no equation to go to, and `- [x]` is a task that is done.
        if !bang.is_empty() || is_task(node, label) {
            self.html.push_str(&html);
            return;
        }
        let span = self.body.place(node.data().sourcepos);
        self.push(Fragment::Reference {
            text: (text != label).then_some(text),
            label: label.to_owned(),
            span,
            html,
        });
    }

    fn image<'a>(&mut self, node: &'a AstNode<'a>, link: &NodeLink) {
        if let Some(label) = markdown::label(&link.url) {
            self.reference(node, label, "!");
            return;
        }
        let words = plain_text(node);
        if links::may_be_shown(&link.url) {
            self.html.push_str("<img src=\"");
            escape::destination(&mut self.html, &link.url);
            self.html.push_str("\" alt=\"");
            escape::attribute(&mut self.html, &words);
            self.html.push('"');
            self.title(&link.title);
            self.html.push_str(" />");
        } else {
            escape::text(&mut self.html, &words);
            let help = "the path of a picture that lies beside the worksheet";
            self.not_followed(node.data().sourcepos, "image", &link.url, help);
        }
    }
}

impl<'a> Visitor<'a> for Inlines<'_, '_> {
    fn enter(&mut self, node: &'a AstNode<'a>) -> Step {
        let data = node.data();
        match &data.value {
            NodeValue::Text(text) => escape::text(&mut self.html, text),
            NodeValue::HtmlInline(text) | NodeValue::Raw(text) => {
                escape::text(&mut self.html, text);
            }
            NodeValue::SoftBreak => self.html.push('\n'),
            NodeValue::LineBreak => self.html.push_str("<br />\n"),
            NodeValue::Emph => self.open("<em>"),
            NodeValue::Strong => self.open("<strong>"),
            NodeValue::Strikethrough => self.open("<del>"),
            NodeValue::Code(code) => self.code(data.sourcepos, code),
            NodeValue::Math(math) => self.math(data.sourcepos, math),
            NodeValue::Link(link) => return self.enter_link(node, link),
            NodeValue::Image(link) => {
                self.image(node, link);
                return Step::Past;
            }
            NodeValue::FootnoteReference(note) => {
                // Only the first mark has a name to come back to: the note has one way back.
                let id = match note.ref_num {
                    1 => format!(" id=\"fnref-{}\"", note.ix),
                    _ => String::new(),
                };
                let ix = note.ix;
                self.html
                    .push_str(&format!("<sup><a href=\"#fn-{ix}\"{id}>{ix}</a></sup>"));
            }
            _ => {}
        }
        Step::Inside
    }

    fn leave(&mut self, node: &'a AstNode<'a>) {
        match &node.data().value {
            NodeValue::Emph => self.close("</em>"),
            NodeValue::Strong => self.close("</strong>"),
            NodeValue::Strikethrough => self.close("</del>"),
            NodeValue::Link(link) if links::may_be_followed(&link.url) => {
                self.html.push_str("</a>");
            }
            _ => {}
        }
    }
}

/// The fragments of a paragraph that begins with `skip` bytes which are not the author's.
pub(super) fn description<'a>(
    body: &Body<'_>,
    root: &'a AstNode<'a>,
    skip: usize,
) -> Vec<Fragment> {
    let mut inlines = Inlines::new(body, Names::default());
    walk(root, &mut inlines);
    let mut fragments = inlines.take();
    if let Some(Fragment::Html(html)) = fragments.first_mut() {
        html.drain(..skip.min(html.len()));
    }
    fragments.retain(|fragment| !matches!(fragment, Fragment::Html(html) if html.is_empty()));
    fragments
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
    use super::super::shown::{diagnostics, fragments, pieces};
    use super::super::{Fragment, parse, parse_inline};
    use crate::diagnostic::Code;
    use crate::text::{Source, Span};

    #[test]
    fn code_spans_are_found_in_the_source() {
        assert_eq!(
            pieces("é `` a`b `` *`p_1 = ? bar`* [`c`](d)\n\n> x `a\n> b`\n"),
            [
                "<p>é {code a`b} <em>{code p_1 = ? bar}</em> <a href=\"d\">{code c}</a></p>",
                "<blockquote><p>x {code a> b}</p></blockquote>",
            ]
        );
        assert_eq!(
            pieces("| a \\| `b` \\| `c` |\n|-|\n"),
            [
                "<table><thead><tr><th scope=\"col\">a | {code b} | {code c}</th></tr></thead></table>"
            ]
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
              {label b [b][]}, [ISO 1], <a href=\"/u\">d</a></p>"
            ]
        );
    }

    #[test]
    fn a_reference_can_be_printed_as_it_is_written() {
        let (document, _) = parse(&Source::new("w.md", "# [<b>x][bal]\n"));
        let written = format!("{:?}", document.pieces);
        assert!(written.contains("[&lt;b&gt;x][bal]"), "{written}");
    }

    #[test]
    fn links_to_elsewhere_lose_their_destination_and_are_reported() {
        let text = "[a](javascript:alert(1)) ![b *c*](https://a.example/b.png) ![d](e.png \"t\")\n";
        assert_eq!(
            pieces(text),
            ["<p>a b c <img src=\"e.png\" alt=\"d\" title=\"t\" /></p>"]
        );
        assert_eq!(
            diagnostics(text),
            [
                (Code::M08, "[a](javascript:alert(1))".to_owned()),
                (Code::M08, "![b *c*](https://a.example/b.png)".to_owned()),
            ]
        );
    }

    fn described(text: &str) -> String {
        let source = Source::new("w.md", format!("é -- {text}\nx"));
        let span = Span::new("é -- ".len(), "é -- ".len() + text.len());
        fragments(&source, &parse_inline(&source, span))
    }

    #[test]
    fn descriptions_have_inline_markdown_and_no_blocks() {
        assert_eq!(described("plain > text"), "plain &gt; text");
        assert_eq!(
            described("# *a* `b = ?` $c$ [d]"),
            "# <em>a</em> {code b = ?} {tex c} {label d [d]}"
        );
        assert_eq!(
            described("- [^1] <b> [x](javascript:y)"),
            "- [^1] &lt;b&gt; x"
        );
        assert_eq!(described("*a*"), "<em>a</em>");
        assert_eq!(described(""), "");
        let source = Source::new("w.md", "```x");
        let whole = parse_inline(&source, Span::new(0, 4));
        assert_eq!(whole, [Fragment::Html("```x".to_owned())]);
    }
}
