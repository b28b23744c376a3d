//! Comparisons of `check`.

use std::sync::Arc;

use super::Outcome;
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::relative;
use crate::evaluate::mend;
use crate::evaluate::program::{Program, holds};
use crate::evaluate::value::{self, Judged, Value};
use crate::evaluate::walk::{Lack, Walk};
use crate::resolve::statement::Check;
use crate::resolve::{Expr, Shape, Statement};
use crate::syntax::Relation;
use crate::text::Span;

impl<'a> Walk<'a> {
    pub(super) fn check(
        &mut self,
        statement: &Statement,
        check: &'a Check,
    ) -> Result<Outcome<'a>, Lack> {
        let all: Vec<&Expr> = check.members.iter().chain(&check.within).collect();
        all.iter().for_each(|member| self.number_inputs(member));
        let programs: Vec<Program> = all
            .iter()
            .map(|member| self.compile_compared(member))
            .collect();
        self.needs(&programs, &[])?;
        let mut values = Vec::with_capacity(programs.len());
        for program in &programs {
            values.push(self.run(program)?);
        }
        let tolerance = check.within.as_ref();
        let tolerance = tolerance.and_then(|within| Some((within, values.pop()?)));
        if let Some((within, size)) = &tolerance
            && size.present().any(|(_, size)| size < 0.0)
        {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::C02,
                    within.span,
                    "a negative tolerance can never hold",
                )
                .with_help("the tolerance without its minus sign")
                .with_fixes(mend::without_sign(self.text, within.span)),
            );
            return Err(Lack::Refused);
        }
        self.refuse_limits(check, &values)?;
        self.needs_rows(statement.span, &values)?;
        let relations = &check.relations;
        let holds = self.all_hold(&values, relations, tolerance.as_ref(), statement.span);
        let size = tolerance.as_ref().map(|(within, size)| (*within, size));
        let row = worst_row(&values, relations, size);
        if !holds {
            let text = statement.span.of(self.text);
            let place = row.map_or_else(String::new, |row| format!(" in row {}", row + 1));
            self.fails(
                Diagnostic::error(
                    Code::C01,
                    statement.span,
                    format!("the check `{text}` does not hold{place}"),
                )
                .with_help("the data or the formula put right, or the check"),
            );
        }
        Ok(Outcome::Check {
            check,
            row,
            values: values.into_iter().map(Arc::new).collect(),
            holds,
        })
    }
}

impl Walk<'_> {
    /// Refuses limits between which no value lies: `3 m < x < 2 m`.
    fn refuse_limits(&mut self, check: &Check, values: &[Value]) -> Result<(), Lack> {
        use Relation::{Greater, GreaterOrEqual, Less, LessOrEqual};
        let ([first, _, last], [one, other]) = (values, check.relations.as_slice()) else {
            return Ok(());
        };
        let are_all = |kin: [Relation; 2]| check.relations.iter().all(|it| kin.contains(it));
        if !are_all([Less, LessOrEqual]) && !are_all([Greater, GreaterOrEqual]) {
            return Ok(());
        }
        let is_strict = matches!(one, Less | Greater);
        let outer = if is_strict { *one } else { *other };
        let [low, value, high] = [0, 1, 2].map(|at| check.members[at].span);
        let limits = [first.clone(), last.clone()];
        if self.all_hold(&limits, &[outer], None, low.cover(high)) {
            return Ok(());
        }
        let [low_text, text, high_text] = [low, value, high].map(|span| span.of(self.text));
        let sign = Span::new(low.end as usize, value.start as usize)
            .of(self.text)
            .trim();
        self.diagnostics.push(
            Diagnostic::error(
                Code::C07,
                low.cover(high),
                format!("no value lies between `{low_text}` and `{high_text}` in this order"),
            )
            .with_help(format!("`{high_text} {sign} {text} {sign} {low_text}`")),
        );
        Err(Lack::Refused)
    }
}

impl Walk<'_> {
    /// Refuses to judge where no row has a number of each of the values: nothing would be compared.
    pub(super) fn needs_rows(&mut self, place: Span, values: &[Value]) -> Result<(), Lack> {
        let all: Vec<&Value> = values.iter().collect();
        if !value::rows_of_all(&all).is_empty() {
            return Ok(());
        }
        let text = place.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::C01,
                place,
                format!("`{text}` compares nothing: no row has a number on every side"),
            )
            .with_help("readings in the rows that are compared"),
        );
        Err(Lack::Refused)
    }

    /// Whether relations hold, all of them in each row that has numbers; what is not certain is said at a place.
    fn all_hold(
        &mut self,
        values: &[Value],
        relations: &[Relation],
        tolerance: Option<&(&Expr, Value)>,
        place: Span,
    ) -> bool {
        let judge = |pair: &[Value], relation: Relation, row: usize| {
            let [left, right] = [&pair[0], &pair[1]];
            match tolerance {
                Some((within, size)) => value::within([left, right, size], row, relative(within)),
                None => value::order(left, right, row).map(|order| holds(relation, order)),
            }
        };
        let pairs = values.windows(2).zip(relations);
        pairs.into_iter().all(|(pair, relation)| {
            let rows = value::rows_of_all(&[&pair[0], &pair[1]]);
            let mut rows = rows.into_iter();
            rows.all(|row| self.told(judge(pair, *relation, row), place))
        })
    }

    /// A judgement; where it is not certain, that is said at a place.
    pub(in crate::evaluate) fn told<T>(&mut self, judged: Judged<T>, place: Span) -> T {
        if !judged.is_certain {
            self.not_told(place);
        }
        judged.found
    }

    /// Says that a judgement is not certain.
    pub(in crate::evaluate) fn not_told(&mut self, place: Span) {
        let is_said = |said: &Diagnostic| said.code == Code::E16 && said.span == place;
        if !self.diagnostics.iter().any(is_said) {
            let written = place.of(self.text);
            self.diagnostics.push(
                Diagnostic::warning(
                    Code::E16,
                    place,
                    format!("it is not certain how `{written}` falls: it is judged by numbers of which no figure is certain"),
                )
                .with_help(
                    "a form of the formulas in which nothing cancels: `ln(a/b)` for `ln(a) - ln(b)`",
                ),
            );
        }
    }
}

/// The row of lists in which two sides have least room, or lack most: a row that fails is never
/// passed over for one that holds. `None` where all sides are single numbers or vectors.
fn worst_row(
    values: &[Value],
    relations: &[Relation],
    tolerance: Option<(&Expr, &Value)>,
) -> Option<usize> {
    use Relation::{Equal, Greater, GreaterOrEqual, Less, LessOrEqual};
    if values.iter().all(|value| value.shape != Shape::List) {
        return None;
    }
    let room = |pair: &[Value], relation: Relation, row: usize| {
        let [left, right] = [pair[0].at(row), pair[1].at(row)];
        let allowed = match tolerance {
            Some((within, size)) if relative(within) => size.at(row) * right.abs(),
            Some((_, size)) => size.at(row),
            None => 0.0,
        };
        match relation {
            Less | LessOrEqual => right - left,
            Greater | GreaterOrEqual => left - right,
            Equal => allowed - (left - right).abs(),
        }
    };
    let pairs = values.windows(2).zip(relations);
    let rooms = pairs.flat_map(|(pair, relation)| {
        let rows = value::rows_of_all(&[&pair[0], &pair[1]]);
        rows.into_iter()
            .map(|row| (row, room(pair, *relation, row)))
            .collect::<Vec<_>>()
    });
    let least = rooms.min_by(|(_, one), (_, other)| one.total_cmp(other));
    least.map(|(row, _)| row)
}
