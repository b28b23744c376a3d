//! What is said of an equation that is meant to be a balance.

use super::{Agreement, Compared, Difference};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::resolve::statement::{Meant, WrittenTerm};
use crate::resolve::{Expr, ExprKind, Quantity, Typed};
use crate::text::Span;

impl Compared<'_, '_> {
    /// A term with its sign, as an author types it.
    pub(super) fn typed(&self, term: &WrittenTerm) -> String {
        let sign = if term.is_negative { "-" } else { "+" };
        format!("{sign} {}", self.typed_alone(term))
    }

    /// A term without its sign.
    pub(super) fn typed_alone(&self, term: &WrittenTerm) -> String {
        self.typing().written(&term.whole())
    }

    /// The derived balance, as an author types it.
    pub(super) fn typed_equation(&self) -> String {
        let sides: Vec<String> = (self.derived.iter())
            .map(|side| self.typing().written(side))
            .collect();
        sides.join(" = ")
    }

    /// Why a term counts as it does.
    pub(super) fn reason(&self, term: &WrittenTerm) -> String {
        let acts = self.meant.reason(term);
        let sign = if term.is_negative { "−" } else { "+" };
        let side = match term.is_on_the_right {
            true => " on the right",
            false => "",
        };
        let whose = &self.meant.words;
        format!(
            "{acts}, so it counts {sign}{side} in {whose}: `{}`",
            self.typed(term)
        )
    }

    /// The derived balance in the place of the author's equation.
    pub(super) fn derived_instead(&self) -> Fix {
        Fix::write(Decision::Choose, self.place(), self.typed_equation())
    }

    /// That two terms have the wrong sign, the one to the other.
    pub(super) fn to_each_other(&self) -> String {
        let terms = self.meant.written.terms.iter();
        let acts: Vec<String> = terms
            .map(|term| self.meant.act(term, self.book.text))
            .collect();
        format!("{} have the wrong sign to each other", acts.join(" and "))
    }

    pub(super) fn place(&self) -> Span {
        let mut all = self.members.iter().map(|it| it.span);
        let first = all.next().unwrap_or(self.meant.span);
        all.fold(first, Span::cover)
    }

    fn typing(&self) -> Typed<'_> {
        Typed {
            text: self.book.text,
            symbols: &self.book.resolved.symbols,
        }
    }

    /// That the equation differs, where the place was not found.
    pub(super) fn somewhere(&self) -> Difference {
        let derived = self.typed_equation();
        let whose = &self.meant.words;
        let differs =
            format!("the equation differs from {whose} of its sketch, which is `{derived}`");
        let (message, help) = match self.number_for_a_name() {
            Some((number, name)) => (
                format!(
                    "{differs}: the sketch has the number `{number}` where the equation has `{name}`"
                ),
                format!("`{name}` for `{number}` in the sketch, or `{derived}`"),
            ),
            None => (
                differs,
                format!("`{derived}`, or another line in the sketch"),
            ),
        };
        Difference {
            code: Code::B08,
            place: self.place(),
            message,
            help,
            fix: Some(self.derived_instead()),
        }
    }

    /// A number of the sketch that is the value of a name which stands in the equation alone.
    fn number_for_a_name(&self) -> Option<(String, String)> {
        let mut numbers = Vec::new();
        let mut named = Vec::new();
        for side in &self.derived {
            quantities(side, &mut numbers);
            side.for_each_symbol(&mut |symbol, _| named.push(symbol));
        }
        let mut own = Vec::new();
        for side in self.members {
            side.for_each_symbol(&mut |symbol, _| own.push(symbol));
        }
        let lines = self.book.resolved.blocks.iter().flatten();
        let data = lines.filter_map(|line| line.facts().datum());
        let mut data = data.filter(|(symbol, _)| own.contains(symbol) && !named.contains(symbol));
        data.find_map(|(symbol, value)| {
            let ExprKind::Quantity(value) = &value.inside().kind else {
                return None;
            };
            let is_alike = |number: &&(&Quantity, Span)| {
                let si = |it: &Quantity| it.values.first().map(|one| it.unit.to_si(*one));
                number.0.unit.dimension() == value.unit.dimension() && si(number.0) == si(value)
            };
            let (_, place) = numbers.iter().find(is_alike)?;
            let key = self.book.resolved.symbols.symbol(symbol).key.to_string();
            Some((place.of(self.book.text).to_owned(), key))
        })
    }
}

/// What is told of it.
pub(in super::super) fn diagnostic(meant: &Meant, agreement: &Agreement) -> Option<Diagnostic> {
    match agreement {
        Agreement::Agrees { .. } => None,
        Agreement::Differs(found) => Some(
            Diagnostic::error(found.code, found.place, found.message.clone())
                .with_help(found.help.clone())
                .with_fixes(found.fix.clone()),
        ),
        Agreement::Another(words) => Some(
            Diagnostic::warning(
                Code::B13,
                meant.span,
                format!("this is {words}, not {}", meant.words),
            )
            .with_help(format!("`by {words}`")),
        ),
        Agreement::NotDecided => Some(
            Diagnostic::warning(
                Code::B09,
                meant.span,
                format!("whether this is {} is not decided", meant.words),
            )
            .with_help("the balance as it stands, before anything found from it is put in"),
        ),
    }
}

/// The numbers with a unit in a formula.
fn quantities<'e>(expr: &'e Expr, found: &mut Vec<(&'e Quantity, Span)>) {
    if let ExprKind::Quantity(quantity) = &expr.kind {
        found.push((quantity, expr.span));
    }
    expr.for_each_part(|part| quantities(part, found));
}
