//! A name of another worksheet: `rho = rho of "water.md" at T = 15 degC`.

use super::super::others::{Found, Named, Theirs, Wanted};
use super::super::{Expr, ExprKind, FunctionId, Resolver, SymbolId};
use super::Kind;
use super::data::{leads_out, not_read};
use crate::diagnostic::{Code, Diagnostic, nearest_file};
use crate::syntax;
use crate::text::{Span, Unread};

/// A name of another worksheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// What it is here.
    pub what: TakenAs,
    /// The file, and where it stands.
    pub file: Box<str>,
    /// Where it stands.
    pub place: Span,
    /// The symbols that this line takes first.
    pub new: Vec<SymbolId>,
    /// The values that stand for parameters or givens there, with what these are called, and
    /// whether it is a given.
    pub at: At,
}

/// What is taken.
#[derive(Debug, Clone, PartialEq)]
pub enum TakenAs {
    /// A quantity, and its formula here.
    Quantity(SymbolId, Expr),
    /// A function, and its body.
    Function(FunctionId, Expr),
}

/// What stands for names there.
type At = Vec<(SymbolId, Expr, bool)>;

impl<'a> Resolver<'a> {
    pub(super) fn taken(
        &mut self,
        taken: &syntax::Taken,
        defines: &mut Option<SymbolId>,
    ) -> Option<Kind> {
        let before = self.elsewhere.len();
        let found = self.found_elsewhere(taken);
        let what = match taken.parameters.is_empty() {
            true => {
                let symbol = self.define(&taken.name, defines)?;
                let (value, at) = self.quantity_taken(taken, found?)?;
                Some((TakenAs::Quantity(symbol, value), at))
            }
            false => {
                self.may_be_function(&taken.name)?;
                let function = found.and_then(|found| self.function_taken(taken, found));
                if function.is_none() {
                    // A call of it needs what failed here.
                    *defines = self.define_broken(&taken.name);
                    self.broken_functions.extend(*defines);
                }
                function.map(|what| (what, Vec::new()))
            }
        };
        let (what, at) = what?;
        let new = self.elsewhere[before..].iter().map(|(symbol, _)| *symbol);
        Some(Kind::Taken(Box::new(Taken {
            what,
            file: taken.file.text.clone(),
            place: taken.file.span,
            new: new.collect(),
            at,
        })))
    }

    fn found_elsewhere(&mut self, taken: &syntax::Taken) -> Option<Found<'a>> {
        if !self.is_there(&taken.file) {
            return None;
        }
        let others = self.others;
        let under = taken.under.as_ref();
        let wanted = Wanted {
            file: (&taken.file.text, taken.file.span),
            under: under.map(|under| (&*under.text, under.span)),
            key: (&taken.of.key, taken.of.span),
        };
        match others.find(&wanted) {
            Ok(found) => {
                // What is wrong there is said once.
                if self.taken_from.insert(found.at) {
                    self.diagnostics.extend(others.fault(found.at, &wanted));
                }
                Some(found)
            }
            Err(diagnostic) => {
                self.diagnostics.push(*diagnostic);
                None
            }
        }
    }

    /// Whether there is a file to take from; where there is none, that is said.
    fn is_there(&mut self, file: &syntax::Word) -> bool {
        let path = &*file.text;
        if let Some(refusal) = leads_out(path, file.span, "of") {
            self.diagnostics.push(refusal);
            return false;
        }
        let is_missing = matches!(&*self.reader.read(path), Err(Unread::Missing));
        if is_missing {
            let mut near = nearest_file(path, self.reader);
            near.retain(|path| path.ends_with(".md"));
            let refusal = not_read(path, file.span, &Unread::Missing, "of", &near);
            self.diagnostics.push(refusal);
        }
        !is_missing
    }

    /// The formula here of a quantity that is taken, and what stands for names there.
    fn quantity_taken(&mut self, taken: &syntax::Taken, found: Found<'a>) -> Option<(Expr, At)> {
        let values: Vec<Option<Expr>> = (taken.conditions.iter())
            .map(|condition| self.expr(&condition.value))
            .collect();
        let values: Vec<Expr> = values.into_iter().collect::<Option<_>>()?;
        match found.what {
            Named::Function(function) => self.applied(taken, found, function, &values),
            Named::Symbol(symbol) => {
                let at = self.givens_there(taken, found, &values)?;
                let own = match at.is_empty() {
                    true => self.symbol_of_other(found, symbol),
                    false => {
                        let what = Theirs::WhatIf(symbol, at.clone());
                        self.new_elsewhere(found, symbol, what)
                    }
                };
                let given = |(theirs, value)| (self.symbol_of_other(found, theirs), value, true);
                let at = at.into_iter().map(given).collect();
                let span = taken.of.span;
                let kind = ExprKind::Symbol(own);
                Some((Expr { span, kind }, at))
            }
        }
    }

    /// A function of another worksheet, at the values that stand for its parameters.
    fn applied(
        &mut self,
        taken: &syntax::Taken,
        found: Found<'a>,
        function: FunctionId,
        values: &[Expr],
    ) -> Option<(Expr, At)> {
        let there = found.resolved.symbols.function(function);
        let named = |parameter: &str| {
            let mut conditions = taken.conditions.iter().zip(values);
            conditions.find(|(condition, _)| *condition.name.key == *parameter)
        };
        let arguments: Option<Vec<Expr>> = (there.parameters.iter())
            .map(|parameter| named(parameter).map(|(_, value)| value.clone()))
            .collect();
        let arguments = arguments.filter(|it| it.len() == taken.conditions.len());
        let Some(arguments) = arguments else {
            let (key, file) = (&there.key, &taken.file.text);
            let all = there.parameters.join(", ");
            let wanted = (there.parameters.iter()).map(|parameter| format!("{parameter} = …"));
            let wanted = wanted.collect::<Vec<String>>().join(", ");
            self.report_other(
                taken.of.span,
                format!("`{key}` is a function of {all} in `{file}`"),
                format!(
                    "`at {wanted}` after the file, or `{key}({all}) = {key} of \"{file}\"` for the function"
                ),
            );
            return None;
        };
        let own = self.copied(taken, found, function)?;
        let at = (there.parameters.iter().zip(&arguments))
            .map(|(parameter, value)| {
                let called = self.symbols.add_unseen(self.problem, parameter);
                (called, value.clone(), false)
            })
            .collect();
        let kind = ExprKind::Apply {
            function: own,
            arguments,
        };
        let span = taken.of.span;
        Some((Expr { span, kind }, at))
    }

    /// The givens there that are to have other values.
    fn givens_there(
        &mut self,
        taken: &syntax::Taken,
        found: Found<'a>,
        values: &[Expr],
    ) -> Option<Vec<(SymbolId, Expr)>> {
        let mut all = Vec::with_capacity(values.len());
        for (condition, value) in taken.conditions.iter().zip(values) {
            let key = &condition.name.key;
            let symbol = found.resolved.symbols.find(found.scope, key);
            let mut lines = found.resolved.blocks.iter().flatten();
            let mut is_given = |symbol: SymbolId| {
                lines.any(|line| line.facts().datum().is_some_and(|(own, _)| own == symbol))
            };
            let Some(symbol) = symbol.filter(|symbol| is_given(*symbol)) else {
                let symbols = &found.resolved.symbols;
                let data = found.resolved.blocks.iter().flatten();
                let data = data.filter_map(|line| line.facts().datum());
                let names: Vec<String> = data
                    .map(|(own, _)| format!("`{} = …`", symbols.symbol(own).key))
                    .collect();
                let help = match names.is_empty() {
                    true => "the line without `at …`: it has no given".to_owned(),
                    false => names.join(", "),
                };
                self.report_other(
                    condition.name.span,
                    format!("`{key}` is no given of `{}`", taken.file.text),
                    help,
                );
                return None;
            };
            all.push((symbol, value.clone()));
        }
        Some(all)
    }

    /// A function of another worksheet under a name here.
    fn function_taken(&mut self, taken: &syntax::Taken, found: Found<'a>) -> Option<TakenAs> {
        let key = &taken.of.key;
        let file = &taken.file.text;
        if let Some(condition) = taken.conditions.first() {
            self.report_other(
                condition.span,
                "a function is taken with all its parameters".to_owned(),
                format!(
                    "the line without `at …`, or `{key} = {key} of \"{file}\" at …` for one value"
                ),
            );
            return None;
        }
        let Named::Function(function) = found.what else {
            self.report_other(
                taken.of.span,
                format!("`{key}` is a quantity in `{file}`, and no function"),
                format!("`{key} = {key} of \"{file}\"`"),
            );
            return None;
        };
        let takes = found.resolved.symbols.function(function).parameters.len();
        if takes != taken.parameters.len() {
            let plural = if takes == 1 { "" } else { "s" };
            self.report_other(
                taken.of.span,
                format!("`{key}` has {takes} parameter{plural} in `{file}`"),
                "as many parameters here".to_owned(),
            );
            return None;
        }
        let copy = self.copied(taken, found, function)?;
        let mut copies = self.functions_elsewhere.iter();
        let body = copies.find_map(|(own, body)| (*own == copy).then(|| body.clone()))?;
        let parameters = taken.parameters.iter().map(|it| it.key.clone()).collect();
        let function = self.new_function(&taken.name, parameters, &body);
        Some(TakenAs::Function(function, body))
    }

    fn copied(
        &mut self,
        taken: &syntax::Taken,
        found: Found<'a>,
        function: FunctionId,
    ) -> Option<FunctionId> {
        let copy = self.function_of_other(found, function, taken.of.span);
        if copy.is_err() {
            let (key, file) = (&taken.of.key, &taken.file.text);
            self.report_other(
                taken.of.span,
                format!(
                    "`{key}` of `{file}` cannot be taken: its formula depends on rows that are chosen, on scatter or on the atmosphere there"
                ),
                "a quantity of that worksheet, or the formula here".to_owned(),
            );
        }
        copy.ok()
    }

    fn report_other(&mut self, place: Span, message: String, help: String) {
        let diagnostic = Diagnostic::error(Code::K18, place, message).with_help(help);
        self.diagnostics.push(diagnostic);
    }
}
