//! Prose with its asks answered and its references numbered.

use super::build::Builder;
use super::model::{Anchor, Filled, Picture, Text, Value};
use super::pictures::{self, PictureFigure};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix, nearest};
use crate::document::{self, Block, Hole, Image, Inline, Tex};
use crate::evaluate::Lack;
use crate::text::{Series, Span};

impl Builder<'_> {
    /// A text of the problem.
    pub fn text(&mut self, text: &[Inline<Hole>]) -> Text {
        document::text_filled(text, &mut |hole| self.fill(hole))
    }

    /// Blocks of Markdown of the problem.
    pub fn prose(&mut self, blocks: &[Block<Hole>]) -> Vec<Block<Filled>> {
        document::blocks_filled(blocks, &mut |hole| self.fill(hole))
    }

    fn fill(&mut self, hole: &Hole) -> Inline<Filled> {
        match hole {
            Hole::Code { span, text } => self.code(*span, text),
            Hole::Tex { tex, display, span } => self.tex(tex, *display, *span),
            Hole::Reference {
                label,
                span,
                written,
                text,
            } => match self.reference(label, *span, text.as_ref()) {
                Some(reference) => Inline::other(reference),
                None => Inline::Text(written.clone()),
            },
            Hole::Picture {
                image,
                span,
                is_alone,
            } => self.picture(image, *span, *is_alone),
        }
    }

    /// A figure where it stands alone and has a caption.
    fn picture(&mut self, image: &Image, span: Span, is_alone: bool) -> Inline<Filled> {
        let caption = pictures::caption(&image.title);
        let mut image = Image {
            source: self.pictures.get(&image.url).cloned().flatten(),
            width: pictures::width(&image.title),
            title: caption.to_owned(),
            ..image.clone()
        };
        match self.next_figures.split_first() {
            Some((figure, rest)) if is_alone && !caption.is_empty() => {
                self.next_figures = rest;
                Inline::other(Filled::Figure(Box::new(Picture {
                    id: figure.anchor.clone(),
                    span,
                    label: figure.label.clone(),
                    caption: std::mem::take(&mut image.title),
                    image,
                })))
            }
            _ => Inline::Image(Box::new(image)),
        }
    }

    fn tex(&mut self, tex: &str, display: bool, span: Span) -> Inline<Filled> {
        let mathml = document::mathml(tex, display).map_err(|message| {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::M04,
                    span,
                    format!("this TeX cannot be read: {message}"),
                )
                .with_help("TeX math that a browser can set, or a code span"),
            );
        });
        Inline::Tex(Box::new(Tex {
            tex: tex.to_owned(),
            display,
            mathml: mathml.ok(),
        }))
    }

    /// A code span: an ask, or ordinary code.
    fn code(&mut self, span: Span, text: &str) -> Inline<Filled> {
        let inlines = &self.parsed.inlines;
        let Ok(at) = inlines.binary_search_by_key(&span.start, |inline| inline.span.start) else {
            return Inline::Code(text.to_owned());
        };
        let failed = |needs| Inline::other(Filled::Failed { span, needs });
        if inlines[at].ask.is_none() {
            return failed(Vec::new());
        }
        let (index, problem) = (inlines[at].index, inlines[at].problem);
        let results = self.results;
        let (resolved, checked) = (self.resolved, self.checked);
        let inline = resolved.inlines.get(index).and_then(Option::as_ref);
        let found = checked.inlines.get(index).and_then(Option::as_ref);
        let (Some(inline), Some(found)) = (inline, found) else {
            return failed(Vec::new());
        };
        match results.inlines.get(index) {
            Some(Ok(value)) => {
                let shown = self.asked(problem, &inline.expr, &inline.ask, value, found);
                self.note_site(&inline.ask, inline.filled.as_ref(), Some(&shown));
                if inline.ask.precision.is_some() {
                    self.warn_of_figures(&inline.ask, Some(&shown));
                }
                self.note_doubt(span, inline.expr.span.of(self.text), &shown);
                Inline::other(Filled::Value(Box::new(Value {
                    span,
                    lead: inline.names_it.then(|| inline.expr.clone()),
                    conditions: self.conditions(&inline.conditions),
                    shown,
                })))
            }
            Some(Err(Lack::Needs(needs))) => {
                self.note_site(&inline.ask, inline.filled.as_ref(), None);
                failed(needs.clone())
            }
            Some(Err(Lack::Refused)) | None => failed(Vec::new()),
        }
    }

    /// A reference to the equation with this label, if there is one.
    fn reference(&mut self, label: &str, span: Span, text: Option<&String>) -> Option<Filled> {
        let problem = self.own_problem();
        let labels = &self.resolved.labels;
        let found = [problem, 0]
            .iter()
            .find_map(|problem| labels.get(&(*problem, label.into())));
        let target = found.and_then(|(number, origin)| {
            let ids = self.tables.ids.get(origin.block)?;
            let id = ids.get(origin.statement)?;
            let (series, id) = match self.tables.figures.contains(origin) {
                true => (Series::Figure, id.of_figure()),
                false => (
                    self.parsed.blocks.get(origin.block)?.kind.series(),
                    id.clone(),
                ),
            };
            Some((Some(*number), series, id))
        });
        let target = target.or_else(|| {
            let id = self.picture_called(label)?;
            Some((None, Series::Figure, id))
        });
        if let Some((number, series, target)) = target {
            return Some(Filled::Reference {
                series,
                number,
                target,
                text: text.cloned(),
            });
        }
        let figures = self.parsed.figures.iter();
        let mut known: Vec<&str> = labels
            .keys()
            .filter(|(scope, _)| *scope == problem || *scope == 0)
            .map(|(_, label)| &**label)
            .chain(figures.filter_map(|figure| figure.label.as_deref()))
            .collect();
        known.sort_unstable();
        if let Some(near) = nearest(label, known) {
            self.diagnostics.push(
                Diagnostic::warning(
                    Code::M05,
                    span,
                    format!("nothing in this problem has the label `{label}`"),
                )
                .with_help(format!("`[{near}]`, if that is meant"))
                .with_fixes(label_meant(self.text, span, label, near)),
            );
        }
        None
    }

    /// The picture whose file has this name, the problem's own first.
    fn picture_called(&self, label: &str) -> Option<Anchor> {
        let named = |figure: &&PictureFigure| figure.label.as_deref() == Some(label);
        let figures = &self.parsed.figures;
        let own = |figure: &&PictureFigure| named(figure) && !figure.anchor.is_shared;
        let found = figures.iter().find(own);
        let found = found.or_else(|| figures.iter().find(named));
        found.map(|figure| figure.anchor.clone())
    }
}

/// The label that was meant, in the brackets of a reference.
fn label_meant(text: &str, reference: Span, label: &str, near: &str) -> Option<Fix> {
    let at = reference.of(text).rfind(&format!("[{label}]"))?;
    let start = reference.start as usize + at + 1;
    let place = Span::new(start, start + label.len());
    Some(Fix::write(Decision::Choose, place, near))
}
