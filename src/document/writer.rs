//! Blocks of Markdown as pieces.
//!
//! Every node goes to one short function on the way in and to one on the way out; lists and
//! quotes stand in [`Containers`], so that an evaluated block can divide them.

use comrak::nodes::{
    AstNode, ListType, NodeCodeBlock, NodeHeading, NodeList, NodeTable, NodeValue, TableAlignment,
};

use super::headings::Names;
use super::markup::{Alignment, Block, Hole, Inline, Table};
use super::places::Body;
use super::prose::{Inlines, plain_text};
use super::splits::{Containers, Kind};
use super::tree::{Step, Visitor, walk};
use super::{Piece, comments, fences};
use crate::diagnostic::Diagnostic;
use crate::text::Span;

/// Reads the pieces of one worksheet.
#[derive(Debug)]
pub(super) struct Writer<'b, 's> {
    body: &'b Body<'s>,
    inlines: Inlines<'b, 's>,
    containers: Containers,
    pieces: Vec<Piece>,
    /// Where the piece that is being read lies.
    span: Span,
    /// The table that is being read.
    table: Option<Table<Hole>>,
    /// The footnotes so far, and whether one is being read.
    notes: Vec<Vec<Block<Hole>>>,
    is_in_note: bool,
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
            table: None,
            notes: Vec::new(),
            is_in_note: false,
        }
    }

    /// The pieces of the document `root`, and what is wrong with its fences and links.
    pub(super) fn pieces<'a>(mut self, root: &'a AstNode<'a>) -> (Vec<Piece>, Vec<Diagnostic>) {
        let (names, mut ids) = heading_names(root);
        self.inlines = Inlines::new(self.body, names);
        for node in root.children() {
            self.span = self.body.lines_of(node.data().sourcepos);
            if !holds_code(node) {
                self.span = self.body.without_blank_end(self.span);
            }
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
        let content = self.inlines.take();
        self.pieces.push(Piece::Heading {
            level: heading.level,
            span: self.span,
            id,
            text,
            content,
        });
    }

    fn finish_prose(&mut self) {
        let blocks = self.containers.take();
        if !blocks.is_empty() {
            self.pieces.push(Piece::Prose {
                span: self.span,
                blocks,
            });
        }
    }

    fn finish_notes(&mut self) {
        if !self.notes.is_empty() {
            let notes = std::mem::take(&mut self.notes);
            self.containers.push(Block::Footnotes(notes));
            self.finish_prose();
        }
    }

    fn code_block<'a>(&mut self, node: &'a AstNode<'a>, code: &NodeCodeBlock) {
        let place = node.data().sourcepos;
        fences::diagnostics(self.body, place, code, &mut self.inlines.diagnostics);
        let blocks = fences::blocks(self.body, place, code);
        if blocks.is_empty() {
            self.ordinary_code(code);
        } else if self.is_in_note {
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
        self.containers.divide();
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
        let word = fences::first_word(code);
        self.containers.push(Block::Code {
            language: if code.fenced { word } else { "" }.to_owned(),
            text: code.literal.clone(),
        });
    }

    /// HTML is shown as it is written, without its comments.
    fn html(&mut self, text: &str) {
        if comments::is_new_page(text) {
            return self.containers.push(Block::NewPage);
        }
        let text = comments::removed(text);
        if !text.trim().is_empty() {
            self.containers.push(Block::Code {
                language: String::new(),
                text,
            });
        }
    }

    fn begin_table(&mut self, table: &NodeTable) {
        self.table = Some(Table {
            columns: table.alignments.iter().map(alignment).collect(),
            head: Vec::new(),
            rows: Vec::new(),
        });
    }

    fn begin_row(&mut self, is_head: bool) {
        if let (Some(table), false) = (&mut self.table, is_head) {
            table.rows.push(Vec::new());
        }
    }

    fn end_cell(&mut self) {
        let cell = self.inlines.take();
        if let Some(table) = &mut self.table {
            table.rows.last_mut().unwrap_or(&mut table.head).push(cell);
        }
    }

    fn end_paragraph<'a>(&mut self, node: &'a AstNode<'a>) {
        let mut text = self.inlines.take();
        if let [Inline::Other(hole)] = text.as_mut_slice()
            && let Hole::Picture { is_alone, .. } = &mut **hole
        {
            *is_alone = true;
        }
        let is_term = node
            .parent()
            .is_some_and(|parent| matches!(parent.data().value, NodeValue::DescriptionTerm));
        if is_term {
            self.containers.term(text);
        } else if is_tight(node) {
            self.containers.push(Block::Plain(text));
        } else {
            self.containers.push(Block::Paragraph(text));
        }
    }

    fn end_note(&mut self) {
        self.is_in_note = false;
        self.notes.push(self.containers.take());
    }
}

impl<'a> Visitor<'a> for Writer<'_, '_> {
    fn enter(&mut self, node: &'a AstNode<'a>) -> Step {
        let data = node.data();
        match &data.value {
            NodeValue::BlockQuote => self.containers.enter(Kind::Quote(Vec::new())),
            NodeValue::List(list) => self.containers.enter(list_kind(list)),
            NodeValue::Item(_) => self.containers.enter(Kind::Item(Vec::new())),
            NodeValue::DescriptionList => self.containers.enter(Kind::Descriptions(Vec::new())),
            NodeValue::DescriptionDetails => self.containers.enter(Kind::Details(Vec::new())),
            // A second definition of the same note, or one that nothing refers to.
            NodeValue::FootnoteDefinition(note) if note.total_references == 0 => {
                return Step::Past;
            }
            NodeValue::FootnoteDefinition(_) => self.is_in_note = true,
            NodeValue::ThematicBreak => self.containers.push(Block::Rule),
            NodeValue::CodeBlock(code) => self.code_block(node, code),
            NodeValue::HtmlBlock(html) => self.html(&html.literal),
            NodeValue::Table(table) => self.begin_table(table),
            NodeValue::TableRow(is_head) => self.begin_row(*is_head),
            _ => return self.inlines.enter(node),
        }
        Step::Inside
    }

    fn leave(&mut self, node: &'a AstNode<'a>) {
        match &node.data().value {
            NodeValue::BlockQuote
            | NodeValue::List(_)
            | NodeValue::Item(_)
            | NodeValue::DescriptionList
            | NodeValue::DescriptionDetails => self.containers.leave(),
            NodeValue::FootnoteDefinition(_) => self.end_note(),
            NodeValue::Paragraph => self.end_paragraph(node),
            NodeValue::Heading(heading) => {
                let text = self.inlines.take();
                self.containers.push(Block::Heading(heading.level, text));
            }
            NodeValue::Table(_) => {
                if let Some(table) = self.table.take() {
                    self.containers.push(Block::Table(table));
                }
            }
            NodeValue::TableCell => self.end_cell(),
            _ => self.inlines.leave(node),
        }
    }
}

/// Whether code stands in a node, whose last lines may be blank.
fn holds_code<'a>(node: &'a AstNode<'a>) -> bool {
    let is_code = |node: &'a AstNode<'a>| matches!(node.data().value, NodeValue::CodeBlock(_));
    node.descendants().any(is_code)
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
    let number = match list.list_type {
        ListType::Bullet => None,
        ListType::Ordered => Some(list.start),
    };
    Kind::List {
        number,
        start: None,
        items: Vec::new(),
    }
}

/// Whether a paragraph has no tags of its own.
fn is_tight<'a>(node: &'a AstNode<'a>) -> bool {
    let Some(parent) = node.parent() else {
        return false;
    };
    parent
        .parent()
        .is_some_and(|above| match above.data().value {
            NodeValue::List(list) => list.tight,
            NodeValue::DescriptionItem(item) => item.tight,
            _ => false,
        })
}

fn alignment(column: &TableAlignment) -> Alignment {
    match column {
        TableAlignment::None => Alignment::Natural,
        TableAlignment::Left => Alignment::Left,
        TableAlignment::Center => Alignment::Center,
        TableAlignment::Right => Alignment::Right,
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
                "<p><a #h-loads>see</a> <a #x>or</a></p>",
            ]
        );
    }

    #[test]
    fn the_columns_of_tables_align() {
        assert_eq!(
            pieces("| a | b | c |\n|:--|:-:|--:|\n| `x \\| y = ?` | `z = ?` |\n"),
            [
                "<table><tr><th left>a</th><th center>b</th><th right>c</th></tr>\
                 <tr><td left>{code x \\| y = ?}</td><td center>{code z = ?}</td>\
                 <td right></td></tr></table>"
            ]
        );
        assert_eq!(pieces("|a|\n|-|\n"), ["<table><tr><th>a</th></tr></table>"]);
    }

    #[test]
    fn lists_quotes_rules_and_descriptions_keep_their_structure() {
        assert_eq!(
            pieces("3. a\n4. b\n   - c\n\n***\n\n> d\n> # e\n\nterm\n\n: what\n"),
            [
                "<ol 3><li>a</li><li>b<ul><li>c</li></ul></li></ol>",
                "<hr>",
                "<quote><p>d</p><h1>e</h1></quote>",
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
                "<pre><div onclick=\"x\">\n</div>\n</pre>",
                "<p>a <b>c</b></p>",
                "<pre rust>a < b\n</pre>",
            ]
        );
    }

    #[test]
    fn comments_vanish_and_may_begin_a_page() {
        assert_eq!(
            pieces("a<!-- b -->c\n\n<!-- d\n\ne -->\n\n- f\n\n  <!-- new page -->\n"),
            ["<p>ac</p>", "<ul><li><p>f</p><new page></li></ul>"]
        );
        assert_eq!(
            pieces("<!--new page-->\n# a <!-- b -->\n"),
            ["<new page>", "h1 h-a: a "]
        );
        assert_eq!(
            pieces("<div> <!-- a -->\nb <!-- c -->\n</div>\n"),
            ["<pre><div> \nb \n</div>\n</pre>"]
        );
        assert_eq!(pieces("<!-- a\n\nb\n"), ["<pre><!-- a\n\nb\n</pre>"]);
    }

    #[test]
    fn footnotes_come_last_and_know_their_first_mark() {
        assert_eq!(
            pieces("a[^n] b[^n]\n\n[^n]: `x = ?`\n[^n]: x\n[^m]: y\n"),
            [
                "<p>a[^1] b[^1 again]</p>",
                "<notes><note><p>x</p></note></notes>",
            ]
        );
    }

    #[test]
    fn a_block_in_a_list_or_quote_divides_it() {
        assert_eq!(
            pieces("1. a\n2. b\n   ```given\n   x = 1 m\n   ```\n   c\n3. d\n"),
            [
                "<ol 1><li>a</li><li>b</li></ol>",
                "given [\"x = 1 m\"]",
                "<ol 2><li continued>c</li><li>d</li></ol>",
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
        assert_eq!(depth(&(">".repeat(50_000) + "a"), "<quote>"), 100);
        assert_eq!(
            depth(&("*a ".repeat(5_000) + &"a*".repeat(5_000)), "<em>"),
            100
        );
    }
}
