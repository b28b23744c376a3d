//! Prose with its asks answered and its references numbered.

use super::build::Builder;
use super::model::{Prose, Value};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix, nearest};
use crate::document::{self, Fragment};
use crate::evaluate::Outcome;
use crate::text::Span;

impl Builder<'_> {
    pub fn prose(&mut self, fragments: Vec<Fragment>, problem: usize) -> Vec<Prose> {
        fragments
            .into_iter()
            .map(|fragment| self.fragment(fragment, problem))
            .collect()
    }

    fn fragment(&mut self, fragment: Fragment, problem: usize) -> Prose {
        match fragment {
            Fragment::Html(html) => Prose::Html(html),
            Fragment::Code { span, html } => self.code(span, html, problem),
            Fragment::Tex { tex, display, span } => {
                if let Err(message) = document::check_tex(&tex, display) {
                    self.diagnostics.push(
                        Diagnostic::error(
                            Code::M04,
                            span,
                            format!("this TeX cannot be read: {message}"),
                        )
                        .with_help("TeX math that a browser can set, or a code span"),
                    );
                }
                Prose::Tex { tex, display, span }
            }
            Fragment::Reference {
                label,
                span,
                html,
                text,
            } => self.reference(&label, span, html, text, problem),
        }
    }

    /// A code span: an ask, or ordinary code.
    fn code(&mut self, span: Span, html: String, problem: usize) -> Prose {
        let inlines = &self.parsed.inlines;
        let Ok(at) = inlines.binary_search_by_key(&span.start, |inline| inline.span.start) else {
            return Prose::Html(html);
        };
        let failed = |needs| Prose::Failed {
            span,
            diagnostics: Vec::new(),
            needs,
        };
        if inlines[at].ask.is_none() {
            return failed(Vec::new());
        }
        let index = inlines[at].index;
        let results = self.results;
        let (resolved, checked) = (self.resolved, self.checked);
        let inline = resolved.inlines.get(index).and_then(Option::as_ref);
        let found = checked.inlines.get(index).and_then(Option::as_ref);
        let (Some(inline), Some(found)) = (inline, found) else {
            return failed(Vec::new());
        };
        match results.inlines.get(index) {
            Some(Outcome::Value(value)) => {
                let shown = self.asked(problem, &inline.expr, &inline.ask, value, found);
                self.note_site(&inline.ask, inline.filled.as_ref(), Some(&shown));
                Prose::Value(Box::new(Value {
                    span,
                    lead: inline.names_it.then(|| inline.expr.clone()),
                    conditions: self.conditions(&inline.conditions),
                    shown,
                }))
            }
            Some(Outcome::Needs(needs)) => {
                self.note_site(&inline.ask, inline.filled.as_ref(), None);
                failed(self.needs(needs))
            }
            _ => failed(Vec::new()),
        }
    }

    fn reference(
        &mut self,
        label: &str,
        span: Span,
        html: String,
        text: Option<String>,
        problem: usize,
    ) -> Prose {
        let labels = &self.resolved.labels;
        let found = [problem, 0]
            .iter()
            .find_map(|problem| labels.get(&(*problem, label.into())));
        if let Some((number, origin)) = found {
            let target = self
                .tables
                .ids
                .get(origin.block)
                .and_then(|ids| ids.get(origin.statement));
            return Prose::Reference {
                label: label.to_owned(),
                number: *number,
                target: target.cloned().unwrap_or_default(),
                text,
            };
        }
        let mut known: Vec<&str> = labels
            .keys()
            .filter(|(scope, _)| *scope == problem || *scope == 0)
            .map(|(_, label)| &**label)
            .collect();
        known.sort_unstable();
        if let Some(near) = nearest(label, known) {
            self.diagnostics.push(
                Diagnostic::warning(
                    Code::M05,
                    span,
                    format!("no equation of this problem has the label `{label}`"),
                )
                .with_help(format!("`[{near}]`, if that is meant"))
                .with_fixes(label_meant(self.text, span, label, near)),
            );
        }
        Prose::Html(html)
    }
}

/// The label that was meant, in the brackets of a reference.
fn label_meant(text: &str, reference: Span, label: &str, near: &str) -> Option<Fix> {
    let at = reference.of(text).rfind(&format!("[{label}]"))?;
    let start = reference.start as usize + at + 1;
    let place = Span::new(start, start + label.len());
    Some(Fix::write(Decision::Choose, place, near))
}
