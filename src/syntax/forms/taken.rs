//! `rho = rho of "water.md" at T = 15 degC`: a value or a function of another worksheet.

use super::super::grammar::{Pairs, Rule};
use super::super::reader::{Read, Reader, error};
use super::super::statement::refuse_function_as_name;
use super::super::{BlockKind, Name, Word, tokens};
use super::{Condition, Part};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// A name of another worksheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// The name that it has here.
    pub name: Name,
    /// The parameters, of a function.
    pub parameters: Vec<Name>,
    /// The name that it has there.
    pub of: Name,
    /// The file, without its quotes.
    pub file: Word,
    /// The heading of the problem there.
    pub under: Option<Word>,
    /// What stands for parameters or givens there.
    pub conditions: Vec<Condition>,
}

impl Taken {
    /// Its parts, in order. What belongs to the other worksheet is no name here.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        match self.parameters.is_empty() {
            true => take(Part::Name(&self.name)),
            false => take(Part::Called(&self.name)),
        }
        self.parameters.iter().for_each(|it| take(Part::Name(it)));
        take(Part::Elsewhere(&self.of));
        take(Part::Word(&self.file));
        self.under.iter().for_each(|it| take(Part::Word(it)));
        for condition in &self.conditions {
            take(Part::Elsewhere(&condition.name));
            take(Part::Expr(&condition.value));
        }
    }
}

/// The word before the file.
pub(super) fn joined(body: &str) -> Option<(usize, &str)> {
    let mut from = 0;
    while let Some(found) = body.get(from..)?.find("of") {
        let at = from + found;
        let (before, after) = (body.get(..at)?, body.get(at + 2..)?);
        if before.ends_with(' ') && after.trim_start().starts_with('"') {
            return body.get(at..at + 2).map(|word| (at, word));
        }
        from = at + 2;
    }
    None
}

/// What to say of a line that was to take a name: without quotes around the file, with another word
/// before it, or of more than a name.
pub(in super::super) fn taken_unread(
    kind: BlockKind,
    body: &str,
    start: usize,
) -> Option<Box<Diagnostic>> {
    if kind != BlockKind::Given {
        return None;
    }
    let equals = body.find('=')?;
    let refusal = |from: usize, to: usize, message: String, help: &str| {
        let place = Span::new(start + from, start + to);
        Some((place, error(Code::S01, place, message, help.to_owned())))
    };
    let with_fix = |(place, refusal): (Span, Box<Diagnostic>), text: String| {
        Box::new(refusal.with_choice(place, text))
    };
    if let Some((at, word)) = joined(body) {
        let taken = body.get(equals + 1..at)?.trim();
        let is_name = tokens::word_at(taken, 0).len() == taken.len();
        if is_name || taken.is_empty() {
            return None;
        }
        let from = equals + 1 + body.get(equals + 1..at)?.find(taken)?;
        let message = format!("`{taken}` is more than a name, and a line takes one name as it is");
        let help = format!(
            "the name alone before `{word}`; a function there stands at a value, `rho {word} \"water.md\" at T = 15 degC`, and formulas stand in `work`"
        );
        return refusal(from, from + taken.len(), message, &help).map(|it| it.1);
    }
    for (at, word) in tokens::words(body).filter(|(at, _)| *at > equals) {
        let rest = body.get(at + word.len()..)?;
        let file = rest.trim_start();
        let from = at + word.len() + rest.len() - file.len();
        let path = file.split_whitespace().next().unwrap_or("");
        if word == "of" && path.ends_with(".md") && !path.contains('"') {
            let typed = format!("\"{path}\"");
            let message = format!("the file `{path}` stands in quotes");
            let help = format!("`of {typed}`");
            return refusal(from, from + path.len(), message, &help).map(|it| with_fix(it, typed));
        }
        if matches!(word, "from" | "in") && file.starts_with('"') {
            let message = format!("a name of another worksheet stands before `of`, not `{word}`");
            return refusal(at, at + word.len(), message, "`rho = rho of \"water.md\"`")
                .map(|it| with_fix(it, "of".to_owned()));
        }
    }
    None
}

/// The files that lines of a block take from, and perhaps some that only look so.
pub fn taken_files(block: &str) -> impl Iterator<Item = &str> {
    block.lines().filter_map(|line| {
        let (at, _) = joined(line)?;
        let (_, rest) = line.get(at..)?.split_once('"')?;
        rest.split_once('"').map(|(path, _)| path.trim())
    })
}

impl Reader<'_> {
    pub(super) fn taken(&mut self, pairs: Pairs<'_>) -> Read<Taken> {
        let (mut names, mut words, mut conditions) = (Vec::new(), Vec::new(), Vec::new());
        let mut of = None;
        for pair in pairs {
            match pair.as_rule() {
                Rule::name => names.push(self.name(&pair)),
                Rule::taken_name => {
                    let inner = pair.into_inner().next();
                    of = inner.map(|inner| self.name(&inner));
                }
                Rule::quoted => {
                    let span = self.span(&pair);
                    words.push(Word {
                        span: Span::new(span.start as usize + 1, span.end as usize - 1),
                        text: pair.as_str().trim_matches('"').trim().into(),
                    });
                }
                Rule::condition => conditions.push(self.condition(pair)?),
                _ => {}
            }
        }
        let mut names = names.into_iter();
        let mut words = words.into_iter();
        let (Some(name), Some(of), Some(file)) = (names.next(), of, words.next()) else {
            return Err(self.nothing());
        };
        refuse_function_as_name(&name)?;
        Ok(Taken {
            name,
            parameters: names.collect(),
            of,
            file,
            under: words.next(),
            conditions,
        })
    }
}
