//! Blocks of Markdown as pieces.
//!
//! Every node goes to one short function on the way in and to one on the way out; lists and
//! quotes write their tags through [`Containers`], so that an evaluated block can divide them.

use comrak::nodes::{
    AstNode, ListType, NodeCodeBlock, NodeHeading, NodeList, NodeValue, TableAlignment,
};

use super::headings::Names;
use super::places::Body;
use super::prose::{Inlines, plain_text};
use super::splits::{Containers, Kind};
use super::tree::{Step, Visitor, walk};
use super::{Piece, escape, fences};
use crate::diagnostic::Diagnostic;
use crate::text::Span;

/// Writes the pieces of one worksheet.
#[derive(Debug)]
pub(super) struct Writer<'b, 's> {
    body: &'b Body<'s>,
    inlines: Inlines<'b, 's>,
    containers: Containers,
    pieces: Vec<Piece>,
    /// Where the piece that is being written lies.
    span: Span,
    /// How the columns of the table that is being written align, and the cell's number.
    columns: Vec<TableAlignment>,
    column: usize,
    /// The number of the footnote that is being written.
    note: usize,
}

impl<'b, 's> Writer<'b, 's> {
    /// For one body.
    pub(super) fn new(body: &'b Body<'s>) -> Self {
        Self {
            body,
            inlines: Inlines::new(body, Names::default()),
            containers: Containers::default(),
            pieces: Vec::new(),
            span: Span::default(),
            columns: Vec::new(),
            column: 0,
            note: 0,
        }
    }

    /// The pieces of the document `root`, and what is wrong with its fences and links.
    pub(super) fn pieces<'a>(mut self, root: &'a AstNode<'a>) -> (Vec<Piece>, Vec<Diagnostic>) {
        let (names, mut ids) = heading_names(root);
        self.inlines = Inlines::new(self.body, names);
        for node in root.children() {
            self.span = self.body.lines_of(node.data().sourcepos);
            match &node.data().value {
                NodeValue::Heading(heading) => {
                    self.heading(node, *heading, ids.next().unwrap_or_default());
                }
                NodeValue::FootnoteDefinition(_) => walk(node, &mut self),
                _ => {
                    walk(node, &mut self);
                    self.finish_prose();
                }
            }
        }
        self.finish_notes();
        (self.pieces, self.inlines.diagnostics)
    }

    fn heading<'a>(
        &mut self,
        node: &'a AstNode<'a>,
        heading: NodeHeading,
        (id, text): (String, String),
    ) {
        for child in node.children() {
            walk(child, &mut self.inlines);
        }
        let fragments = self.inlines.take();
        self.pieces.push(Piece::Heading {
            level: heading.level,
            span: self.span,
            id,
            text,
            fragments,
        });
    }

    fn finish_prose(&mut self) {
        let fragments = self.inlines.take();
        if !fragments.is_empty() {
            self.pieces.push(Piece::Prose {
                span: self.span,
                fragments,
            });
        }
    }

    fn finish_notes(&mut self) {
        if self.note > 0 {
            self.inlines.html.push_str("</ol>\n</section>\n");
            self.finish_prose();
        }
    }

    fn tag(&mut self, tag: &str) {
        self.containers.ensure(&mut self.inlines.html);
        self.inlines.html.push_str(tag);
    }

    fn code_block<'a>(&mut self, node: &'a AstNode<'a>, code: &NodeCodeBlock) {
        let place = node.data().sourcepos;
        fences::diagnostics(self.body, place, code, &mut self.inlines.diagnostics);
        let blocks = fences::blocks(self.body, place, code);
        if blocks.is_empty() {
            self.ordinary_code(code);
        } else if self.note > 0 {
            let diagnostic = fences::in_footnote(self.body, place, code);
            self.inlines.diagnostics.push(diagnostic);
            self.ordinary_code(code);
        } else {
            for block in blocks {
                self.evaluated(block);
            }
        }
    }

    /// A block stands between the prose before it and what is left of its list or quote.
    fn evaluated(&mut self, block: Piece) {
        self.containers.divide(&mut self.inlines.html);
        let whole = self.span;
        if let Piece::Block { span, .. } = &block {
            self.span.end = span.start.clamp(whole.start, whole.end);
            self.finish_prose();
            self.span = Span {
                start: self.body.next_line(span.end).clamp(whole.start, whole.end),
                end: whole.end,
            };
        }
        self.pieces.push(block);
    }

    fn ordinary_code(&mut self, code: &NodeCodeBlock) {
        self.tag("<pre><code");
        let word = fences::first_word(code);
        if code.fenced && !word.is_empty() {
            self.inlines.html.push_str(" class=\"language-");
            escape::attribute(&mut self.inlines.html, word);
            self.inlines.html.push('"');
        }
        self.inlines.html.push('>');
        escape::text(&mut self.inlines.html, &code.literal);
        self.inlines.html.push_str("</code></pre>\n");
    }

    fn html_block(&mut self, literal: &str) {
        self.tag("<pre><code>");
        escape::text(&mut self.inlines.html, literal);
        self.inlines.html.push_str("</code></pre>\n");
    }

    fn cell<'a>(&mut self, node: &'a AstNode<'a>) {
        let alignment = self.columns.get(self.column).copied();
        self.column += 1;
        let tag = if in_table_head(node) {
            "<th scope=\"col\""
        } else {
            "<td"
        };
        let class = match alignment {
            Some(TableAlignment::Left) => " class=\"left\"",
            Some(TableAlignment::Center) => " class=\"center\"",
            Some(TableAlignment::Right) => " class=\"right\"",
            Some(TableAlignment::None) | None => "",
        };
        self.tag(tag);
        self.tag(class);
        self.tag(">");
    }

    fn begin_note(&mut self) {
        if self.note == 0 {
            self.inlines
                .html
                .push_str("<section class=\"footnotes\">\n<ol>\n");
        }
        self.note += 1;
        self.inlines
            .html
            .push_str(&format!("<li id=\"fn-{}\">", self.note));
    }

    fn end_note(&mut self) {
        let back = format!(
            "<a href=\"#fnref-{}\" class=\"back\">↩</a></li>\n",
            self.note
        );
        self.inlines.html.push_str(&back);
    }
}

impl<'a> Visitor<'a> for Writer<'_, '_> {
    fn enter(&mut self, node: &'a AstNode<'a>) -> Step {
        let data = node.data();
        match &data.value {
            NodeValue::BlockQuote => self.containers.enter(Kind::Quote),
            NodeValue::List(list) => self.containers.enter(list_kind(list)),
            NodeValue::Item(_) => self.containers.enter(Kind::Item),
            NodeValue::DescriptionList => self.containers.enter(Kind::Descriptions),
            NodeValue::DescriptionTerm => self.tag("<dt>"),
            NodeValue::DescriptionDetails => self.containers.enter(Kind::Details),
            // A second definition of the same note, or one that nothing refers to.
            NodeValue::FootnoteDefinition(note) if note.total_references == 0 => {
                return Step::Past;
            }
            NodeValue::FootnoteDefinition(_) => self.begin_note(),
            NodeValue::Paragraph => self.tag(if is_tight(node) { "" } else { "<p>" }),
            NodeValue::Heading(heading) => self.tag(&format!("<h{}>", heading.level)),
            NodeValue::ThematicBreak => self.tag("<hr />\n"),
            NodeValue::CodeBlock(code) => self.code_block(node, code),
            NodeValue::HtmlBlock(html) => self.html_block(&html.literal),
            NodeValue::Table(table) => {
                self.columns.clone_from(&table.alignments);
                self.tag("<table>\n");
            }
            NodeValue::TableRow(head) => {
                self.column = 0;
                self.tag(row_opening(node, *head));
            }
            NodeValue::TableCell => self.cell(node),
            _ => return self.inlines.enter(node),
        }
        Step::Inside
    }

    fn leave(&mut self, node: &'a AstNode<'a>) {
        let html = &mut self.inlines.html;
        match &node.data().value {
            NodeValue::BlockQuote
            | NodeValue::List(_)
            | NodeValue::Item(_)
            | NodeValue::DescriptionList
            | NodeValue::DescriptionDetails => self.containers.leave(html),
            NodeValue::DescriptionTerm => html.push_str("</dt>\n"),
            NodeValue::FootnoteDefinition(_) => self.end_note(),
            NodeValue::Paragraph if is_tight(node) => {
                if node.next_sibling().is_some() {
                    html.push('\n');
                }
            }
            NodeValue::Paragraph => html.push_str("</p>\n"),
            NodeValue::Heading(heading) => html.push_str(&format!("</h{}>\n", heading.level)),
            NodeValue::Table(_) => html.push_str(table_closing(node)),
            NodeValue::TableRow(true) => html.push_str("</tr>\n</thead>\n"),
            NodeValue::TableRow(false) => html.push_str("</tr>\n"),
            NodeValue::TableCell if in_table_head(node) => html.push_str("</th>"),
            NodeValue::TableCell => html.push_str("</td>"),
            _ => self.inlines.leave(node),
        }
    }
}

/// The names of all headings at the top level, and each with its words, in order.
fn heading_names<'a>(root: &'a AstNode<'a>) -> (Names, impl Iterator<Item = (String, String)>) {
    let mut names = Names::default();
    let mut ids = Vec::new();
    for node in root.children() {
        if matches!(node.data().value, NodeValue::Heading(_)) {
            let text = plain_text(node);
            ids.push((names.name(&text), text));
        }
    }
    (names, ids.into_iter())
}

fn list_kind(list: &NodeList) -> Kind {
    match list.list_type {
        ListType::Bullet => Kind::Bullets,
        ListType::Ordered => Kind::Numbers(list.start),
    }
}

/// Whether a paragraph has no tags of its own.
fn is_tight<'a>(node: &'a AstNode<'a>) -> bool {
    let Some(parent) = node.parent() else {
        return false;
    };
    if matches!(parent.data().value, NodeValue::DescriptionTerm) {
        return true;
    }
    parent
        .parent()
        .is_some_and(|above| match above.data().value {
            NodeValue::List(list) => list.tight,
            NodeValue::DescriptionItem(item) => item.tight,
            _ => false,
        })
}

fn in_table_head<'a>(node: &'a AstNode<'a>) -> bool {
    node.parent()
        .is_some_and(|row| matches!(row.data().value, NodeValue::TableRow(true)))
}

fn row_opening<'a>(node: &'a AstNode<'a>, head: bool) -> &'static str {
    let after_head = node
        .previous_sibling()
        .is_some_and(|row| matches!(row.data().value, NodeValue::TableRow(true)));
    match (head, after_head) {
        (true, _) => "<thead>\n<tr>",
        (false, true) => "<tbody>\n<tr>",
        (false, false) => "<tr>",
    }
}

fn table_closing<'a>(node: &'a AstNode<'a>) -> &'static str {
    let has_body = node
        .last_child()
        .is_some_and(|row| matches!(row.data().value, NodeValue::TableRow(false)));
    if has_body {
        "</tbody>\n</table>\n"
    } else {
        "</table>\n"
    }
}

#[cfg(test)]
mod tests {
    use super::super::shown::pieces;

    #[test]
    fn headings_have_names_that_links_reach() {
        assert_eq!(
            pieces("# Loads\n\n## Loads `q = ?`\n\n[see](#loads) [or](#x)\n"),
            [
                "h1 h-loads: Loads",
                "h2 h-loads-q: Loads {code q = ?}",
                "<p><a href=\"#h-loads\">see</a> <a href=\"#x\">or</a></p>",
            ]
        );
    }

    #[test]
    fn tables_align_by_class_and_their_heads_have_a_scope() {
        assert_eq!(
            pieces("| a | b | c |\n|:--|:-:|--:|\n| `x \\| y = ?` | `z = ?` |\n"),
            ["<table><thead><tr><th scope=\"col\" class=\"left\">a</th>\
              <th scope=\"col\" class=\"center\">b</th><th scope=\"col\" class=\"right\">c</th></tr>\
              </thead><tbody><tr><td class=\"left\">{code x \\| y = ?}</td>\
              <td class=\"center\">{code z = ?}</td><td class=\"right\"></td></tr></tbody></table>"]
        );
        assert_eq!(
            pieces("|a|\n|-|\n"),
            ["<table><thead><tr><th scope=\"col\">a</th></tr></thead></table>"]
        );
    }

    #[test]
    fn lists_quotes_rules_and_descriptions_keep_their_structure() {
        assert_eq!(
            pieces("3. a\n4. b\n   - c\n\n***\n\n> d\n> # e\n\nterm\n\n: what\n"),
            [
                "<ol start=\"3\"><li>a</li><li>b<ul><li>c</li></ul></li></ol>",
                "<hr />",
                "<blockquote><p>d</p><h1>e</h1></blockquote>",
                "<dl><dt>term</dt><dd><p>what</p></dd></dl>",
            ]
        );
        assert_eq!(
            pieces("- [x] done\n- [ ] to do\n"),
            ["<ul><li>[x] done</li><li>[ ] to do</li></ul>"]
        );
    }

    #[test]
    fn raw_html_and_ordinary_code_are_text() {
        assert_eq!(
            pieces("<div onclick=\"x\">\n</div>\n\na <b>c</b>\n\n```rust\na < b\n```\n"),
            [
                "<pre><code>&lt;div onclick=\"x\"&gt;&lt;/div&gt;</code></pre>",
                "<p>a &lt;b&gt;c&lt;/b&gt;</p>",
                "<pre><code class=\"language-rust\">a &lt; b</code></pre>",
            ]
        );
    }

    #[test]
    fn footnotes_come_last_and_each_has_one_way_back() {
        assert_eq!(
            pieces("a[^n] b[^n]\n\n[^n]: `x = ?`\n[^n]: x\n[^m]: y\n"),
            [
                "<p>a<sup><a href=\"#fn-1\" id=\"fnref-1\">1</a></sup> \
                 b<sup><a href=\"#fn-1\">1</a></sup></p>",
                "<section class=\"footnotes\"><ol><li id=\"fn-1\"><p>x</p>\
                 <a href=\"#fnref-1\" class=\"back\">↩</a></li></ol></section>",
            ]
        );
    }

    #[test]
    fn a_block_in_a_list_or_quote_divides_it() {
        assert_eq!(
            pieces("1. a\n2. b\n   ```given\n   x = 1 m\n   ```\n   c\n3. d\n"),
            [
                "<ol><li>a</li><li>b</li></ol>",
                "given [\"x = 1 m\"]",
                "<ol start=\"2\"><li class=\"continued\">c</li><li>d</li></ol>",
            ]
        );
        assert_eq!(
            pieces("> ```given\n> x = 1 m\n>   -- long\n> ```\n"),
            ["given [\"x = 1 m\", \"  -- long\"]"]
        );
    }

    #[test]
    fn nesting_without_end_gives_a_page_of_bounded_depth() {
        let depth = |text: &str, tag: &str| pieces(text).concat().matches(tag).count();
        assert_eq!(depth(&(">".repeat(50_000) + "a"), "<blockquote>"), 100);
        assert_eq!(
            depth(&("*a ".repeat(5_000) + &"a*".repeat(5_000)), "<em>"),
            100
        );
    }
}
