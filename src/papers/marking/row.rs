//! A row of a list: what its columns say of a part, and marks that a person gave.

use super::field::{self, Doubt, Field, Signs, Written, WrittenUnit};
use super::judge::Counted;
use super::list::{Holds, Says};
use super::marked::Verdict;
use super::printed::{Part, Target};
use crate::worksheet::MarkKind;

impl Holds {
    pub(super) fn is_answer(&self, wanted: usize, of: usize) -> bool {
        matches!(self, Self::Answer { question, part, .. } if (*question, *part) == (wanted, of))
    }

    pub(super) fn is_own(&self, wanted: usize, of: usize) -> bool {
        matches!(self, Self::Own { question, name, .. } if (*question, *name) == (wanted, of))
    }

    fn component(&self) -> Option<usize> {
        match self {
            Self::Answer { component, .. } | Self::Own { component, .. } => *component,
            Self::Marks { .. } => None,
        }
    }
}

/// What the fields of a row say of the decimal sign: for each of them what the others do.
pub(super) struct Signed(Vec<Signs>);

impl Signed {
    pub fn of(cells: &[(Holds, &Says)]) -> Self {
        let own: Vec<Signs> = (cells.iter())
            .map(|(_, says)| match says {
                Says::Words(words) => Signs::of(words),
                Says::Nothing | Says::Marks(_) => Signs::default(),
            })
            .collect();
        // All before each of them, and all behind.
        let mut before = vec![Signs::default()];
        for signs in &own {
            before.push(before.last().copied().unwrap_or_default().and(*signs));
        }
        let mut behind = Signs::default();
        let mut others: Vec<Signs> = Vec::with_capacity(own.len());
        for (at, signs) in own.iter().enumerate().rev() {
            others.push(before[at].and(behind));
            behind = behind.and(*signs);
        }
        others.reverse();
        Self(others)
    }
}

/// What a row says of a question.
pub(super) struct Said<'s> {
    pub cells: &'s [(Holds, &'s Says)],
    pub signs: &'s Signed,
    pub question: usize,
}

impl Said<'_> {
    pub fn has(&self, is_it: impl Fn(&Holds) -> bool) -> bool {
        (self.cells.iter()).any(|(holds, says)| is_it(holds) && **says != Says::Nothing)
    }

    /// Reads what the columns of a target hold, whole or by components.
    pub fn read(&self, target: &Target, is_it: impl Fn(&Holds) -> bool) -> (String, Field) {
        let own = self.cells.iter().enumerate();
        let own: Vec<(usize, Option<usize>, &str)> = own
            .filter(|(_, (holds, _))| is_it(holds))
            .filter_map(|(at, (holds, says))| match says {
                Says::Words(words) => Some((at, holds.component(), &**words)),
                Says::Nothing | Says::Marks(_) => None,
            })
            .collect();
        let row = |at: usize| self.signs.0.get(at).copied().unwrap_or_default();
        match own.as_slice() {
            [] => (String::new(), Field::Blank(None)),
            [(at, None, words)] => (
                (*words).to_owned(),
                field::read(&target.field, words, row(*at)),
            ),
            parts => {
                let written: Vec<&str> = parts.iter().map(|(.., words)| *words).collect();
                let written = written.join("; ");
                let mut all: Option<Written> = None;
                let asked = field::Asked {
                    shape: field::Shape::Scalar,
                    ..target.field.clone()
                };
                let count = target.si.len();
                for (at, component, words) in parts {
                    let Some(component) = component.filter(|it| *it < count) else {
                        return (written, Field::Person(Doubt::NotUnderstood));
                    };
                    match field::read(&asked, words, row(*at)) {
                        Field::One(one) => {
                            let number = one.numbers.first().copied().flatten();
                            let all = all.get_or_insert_with(|| Written {
                                numbers: vec![None; count],
                                ..one.clone()
                            });
                            all.numbers[component] = number;
                            all.remarks.extend(one.remarks);
                            if matches!(one.unit, WrittenUnit::Other(_) | WrittenUnit::None) {
                                all.unit = one.unit;
                            }
                        }
                        Field::Person(doubt) => return (written, Field::Person(doubt)),
                        Field::Blank(_) => {}
                        Field::Either(_) => return (written, Field::Person(Doubt::NotUnderstood)),
                    }
                }
                (written, all.map_or(Field::Blank(None), Field::One))
            }
        }
    }

    /// Marks that a person gave stand instead of what was computed.
    pub fn by_hand(&self, part: usize, of: &Part, counted: &mut Counted) {
        let mut whole = None;
        for (holds, says) in self.cells {
            let (
                Holds::Marks {
                    question,
                    part: own,
                    kind,
                },
                Says::Marks(given),
            ) = (holds, says)
            else {
                continue;
            };
            if (*question, *own) != (self.question, part) {
                continue;
            }
            match kind.and_then(|kind| of.marks.get(kind)) {
                Some((_, kind)) => {
                    let before = counted.earned.by_hand(*kind, *given);
                    if before > *given {
                        let remark = fewer(*given, before, *kind);
                        counted.answer.remarks.push(remark);
                    }
                }
                None => whole = Some(*given),
            }
        }
        let answer = &mut counted.answer;
        (answer.marks, answer.open) = (counted.earned.given(), counted.earned.open());
        if let Some(given) = whole {
            if given < answer.marks {
                let remark = format!("{given} by hand for {} computed", answer.marks);
                answer.remarks.push(remark);
            }
            (answer.marks, answer.open) = (given, 0);
            answer.verdict = Verdict::ByHand;
            answer.is_proposed = false;
        }
    }
}

fn fewer(given: u32, before: u32, kind: MarkKind) -> String {
    format!("{given} {} by hand for {before} computed", kind.word())
}
