//! Lines to statements, block by block.

use super::kind::Kind;
use super::statement::{self, Origin, Statement};
use super::{Block, Inline, InlineAsk, Resolver, SymbolId, UserFunction};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::quantity;
use crate::syntax::{self, BlockKind, Chain, ExprKind, Line, Name, Tail};
use crate::text::Span;

impl<'a> Resolver<'a> {
    pub(super) fn block(&mut self, index: usize, block: Block<'a>) -> Vec<Statement> {
        self.problem = block.problem;
        self.symbolic = block.kind == BlockKind::Derive;
        let mut statements = Vec::with_capacity(block.lines.len());
        for line in block.lines {
            let origin = Origin {
                block: index,
                statement: statements.len(),
            };
            statements.push(self.line(block.kind, line, origin));
        }
        self.symbolic = false;
        statements
    }

    fn line(&mut self, block: BlockKind, line: &'a Line, origin: Origin) -> Statement {
        self.above = Some(line.span.start);
        let label = self.label(line, origin);
        let number = label.as_ref().map(|(_, number)| *number);
        let mut statement = Statement {
            span: line.span,
            label,
            description: line.description,
            defines: None,
            unknowns: Vec::new(),
            kind: None,
        };
        statement.kind = match &line.statement {
            syntax::Statement::Chain(chain) => {
                self.chain(block, chain, number, origin, &mut statement.defines)
            }
            syntax::Statement::Required(required) => self.required(required),
            syntax::Statement::Check(check) => self.check(line, check),
            syntax::Statement::Answer(answer) => self.answer(answer),
            syntax::Statement::Therefore(step) => self.therefore(step, number, origin),
            syntax::Statement::Solve(solve) if block == BlockKind::Work => {
                let kind = self.system(line.span, solve, &mut statement.unknowns);
                self.ready.extend(&statement.unknowns);
                kind
            }
            syntax::Statement::Solve(solve) => self.solve(line.span, solve, number, origin),
            syntax::Statement::Component(component) => self.component(component, number, origin),
            syntax::Statement::ShowDimensions => Some(self.dimensions()),
            syntax::Statement::Trend(trend) => self.trend(line.span, trend),
            syntax::Statement::Limit(limit) => self.limit(limit),
            syntax::Statement::Sensitivity(subject) => self.sensitivity(subject),
            syntax::Statement::Broken(name) => {
                self.refuse(block, name.as_ref(), origin, &mut statement.defines);
                None
            }
        };
        if statement.kind.is_none() {
            self.refused.insert(origin);
        }
        if let Some(symbol) = statement.defines {
            self.ready.insert(symbol);
        }
        statement
    }

    fn label(&mut self, line: &Line, origin: Origin) -> Option<(Box<str>, usize)> {
        let label = line.label.as_ref()?;
        let key = (self.problem, label.text.clone());
        if self.labels.contains_key(&key) {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::N06,
                    label.span,
                    format!("the label `{}` is used twice in this problem", label.text),
                )
                .with_help("another label for one of the two equations")
                .with_fixes(self.other_label(&label.text, label.span)),
            );
            return None;
        }
        self.label_count += 1;
        self.labels.insert(key, (self.label_count, origin));
        Some((label.text.clone(), self.label_count))
    }

    /// The same label with the first number that is free.
    fn other_label(&self, label: &str, place: Span) -> Option<Fix> {
        let is_free = |other: &str| {
            let key = (self.problem, other.into());
            !self.labels.contains_key(&key)
        };
        let other = (2..100)
            .map(|count| format!("{label}_{count}"))
            .find(|other| is_free(other))?;
        Some(Fix::write(Decision::Choose, place, other))
    }

    fn chain(
        &mut self,
        block: BlockKind,
        chain: &'a Chain,
        number: Option<usize>,
        origin: Origin,
        defines: &mut Option<SymbolId>,
    ) -> Option<Kind> {
        if let Some((name, parameters)) = self.defined_function(block, chain, number.is_some()) {
            return self.function(chain, name, &parameters, defines);
        }
        if block != BlockKind::Derive && self.refuse_component(chain) {
            return None;
        }
        match block {
            BlockKind::Given => self.given_line(chain, defines),
            BlockKind::Derive => {
                let Some(members) = self.exprs(&chain.members) else {
                    if let Some(ExprKind::Name(name)) = chain.members.first().map(|lead| &lead.kind)
                    {
                        self.remember_refused(&name.key, origin);
                    }
                    return None;
                };
                self.remember(&chain.members, number, origin);
                self.keep(number, origin, &members);
                Some(Kind::Equation { members })
            }
            _ => self.work(chain, defines),
        }
    }

    /// The name and parameters of the function that a line defines. In `derive` a labelled line
    /// with the head of a function that is known already is an equation.
    pub(super) fn defined_function<'c>(
        &self,
        block: BlockKind,
        chain: &'c Chain,
        is_labelled: bool,
    ) -> Option<(&'c Name, Vec<&'c Name>)> {
        let (name, parameters) = self.function_head(chain)?;
        let known = self.symbols.find_function(self.problem, &name.key);
        let is_here = |function| self.symbols.function(function).defined == name.span;
        let is_new = || known.is_none_or(is_here) && self.function_of_language(&name.key).is_none();
        let is_equation = block == BlockKind::Derive && is_labelled && !is_new();
        (!is_equation).then_some((name, parameters))
    }

    fn function(
        &mut self,
        chain: &Chain,
        name: &Name,
        parameters: &[&Name],
        defines: &mut Option<SymbolId>,
    ) -> Option<Kind> {
        let written = name.span.of(self.text);
        if let Some(function) = self.symbols.find_function(self.problem, &name.key) {
            let first = self.symbols.function(function).defined;
            self.report_twice(written, name.span, first);
            return None;
        }
        self.take_parameters(name, parameters);
        let body = chain.members.get(1).and_then(|body| self.expr(body));
        let parameters = std::mem::take(&mut self.parameters);
        let Some(body) = body else {
            // A call of it needs what failed here.
            *defines = self.define_broken(name);
            self.broken_functions.extend(*defines);
            return None;
        };
        let function = self.symbols.add_function(
            self.problem,
            UserFunction {
                key: name.key.clone(),
                parameters,
                defined: name.span,
            },
        );
        if self.keeps_equations {
            self.bodies.insert(function, body.clone());
        }
        Some(Kind::Function { function, body })
    }

    /// From here on these are the parameters of the function whose body is resolved.
    pub(super) fn take_parameters(&mut self, of: &Name, parameters: &[&Name]) {
        self.definition = of.span;
        self.parameters = (parameters.iter())
            .map(|parameter| parameter.key.clone())
            .collect();
    }

    fn given_line(&mut self, chain: &Chain, defines: &mut Option<SymbolId>) -> Option<Kind> {
        let [lead, value] = chain.members.as_slice() else {
            return self.report_given_form(chain);
        };
        let ExprKind::Name(name) = &lead.kind else {
            return self.report_given_form(chain);
        };
        if self.report_number_missing(lead.span, value) {
            self.define(name, defines)?;
            return None;
        }
        let value = self.expr(value);
        let symbol = self.define(name, defines)?;
        Some(Kind::Given {
            symbol,
            value: value?,
        })
    }

    /// `m_P = kg`: a unit whose number is not typed yet.
    fn report_number_missing(&mut self, lead: Span, value: &syntax::Expr) -> bool {
        let ExprKind::Name(name) = &value.kind else {
            return false;
        };
        let is_known = self.symbols.find(self.problem, &name.key).is_some();
        if is_known || !quantity::is_unit(name.span.of(self.text)) {
            return false;
        }
        let (lead, unit) = (lead.of(self.text), value.span.of(self.text));
        self.diagnostics.push(
            Diagnostic::error(
                Code::N04,
                value.span,
                format!("the number is missing before the unit `{unit}`"),
            )
            .with_help(format!(
                "`{lead} = … {unit}` with a number, or a line above that defines `{unit}`"
            )),
        );
        true
    }

    /// A component is part of its vector and has no value of its own.
    fn refuse_component(&mut self, chain: &Chain) -> bool {
        let Some(ExprKind::Component(name, _)) = chain.members.first().map(|lead| &lead.kind)
        else {
            return false;
        };
        let known = self.symbols.find(self.problem, &name.key);
        if known.is_some_and(|symbol| self.may_use(symbol)) {
            return false;
        }
        let written = name.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::V03,
                chain.members[0].span,
                format!("a component of `{written}` cannot be defined by itself"),
            )
            .with_help(format!(
                "the whole vector, `{written} = (…, …)`, from named components"
            )),
        );
        true
    }

    fn report_given_form(&mut self, chain: &Chain) -> Option<Kind> {
        let span = chain
            .members
            .iter()
            .map(|member| member.span)
            .reduce(Span::cover)
            .unwrap_or_default();
        self.diagnostics.push(
            Diagnostic::error(
                Code::S11,
                span,
                "a line of `given` is a name, one equals sign and its value",
            )
            .with_help("`name = value unit`, and formulas in `work`"),
        );
        None
    }

    /// Defines the name, or reports where it is defined already.
    pub(super) fn define(
        &mut self,
        name: &Name,
        defines: &mut Option<SymbolId>,
    ) -> Option<SymbolId> {
        let symbol = self.symbols.intern_declared(self.problem, &name.key);
        if let Some(first) = self.symbols.symbol(symbol).defined {
            self.report_twice(name.span.of(self.text), name.span, first);
            return None;
        }
        if !super::declare::may_be_name(&name.key) {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::S14,
                    name.span,
                    format!(
                        "`{}` has a meaning of its own and cannot be defined",
                        name.key
                    ),
                )
                .with_help("another name, such as one with a subscript"),
            );
            return None;
        }
        self.symbols.define(symbol, name.span);
        *defines = Some(symbol);
        Some(symbol)
    }

    /// Keeps the name of a refused line, so that what needs it says so and nothing further.
    fn refuse(
        &mut self,
        block: BlockKind,
        name: Option<&Name>,
        origin: Origin,
        defines: &mut Option<SymbolId>,
    ) {
        match (block, name) {
            (_, None) | (BlockKind::Required | BlockKind::Check | BlockKind::Answer, _) => {}
            (BlockKind::Derive, Some(name)) => self.remember_refused(&name.key, origin),
            (BlockKind::Given | BlockKind::Work, Some(name)) => {
                *defines = self.define_broken(name);
            }
        }
    }

    /// The symbol that a refused line was to define, unless it is defined elsewhere.
    fn define_broken(&mut self, name: &Name) -> Option<SymbolId> {
        let symbol = self.symbols.intern_declared(self.problem, &name.key);
        if self.symbols.symbol(symbol).defined.is_some() {
            return None;
        }
        self.symbols.define(symbol, name.span);
        Some(symbol)
    }

    fn report_twice(&mut self, written: &str, span: Span, first: Span) {
        self.diagnostics.push(
            Diagnostic::error(Code::N02, span, format!("`{written}` is defined twice"))
                .with_note(format!("`{written}` is already defined here"), first)
                .with_help(
                    "another name, or `at` for another value of a given: `P = ? kW at Q = 40 L/s`",
                ),
        );
    }

    fn work(&mut self, chain: &'a Chain, defines: &mut Option<SymbolId>) -> Option<Kind> {
        let (lead, rest) = chain.members.split_first()?;
        let tail = self.tail(&chain.tail);
        let conditions = self.conditions(&chain.conditions);
        if let ExprKind::Name(name) = &lead.kind
            && &*name.key != "pi"
        {
            return self.work_on_name(chain, name, rest, tail, conditions, defines);
        }
        let lead = self.expr(lead);
        let members = self.exprs(rest);
        Some(Kind::Work(Box::new(statement::Work {
            lead: lead?,
            members: members?,
            from: None,
            origin: None,
            tail: tail?,
            conditions: conditions?,
        })))
    }

    fn work_on_name(
        &mut self,
        chain: &Chain,
        name: &Name,
        rest: &[syntax::Expr],
        tail: Option<statement::Tail>,
        conditions: Option<Vec<statement::Condition>>,
        defines: &mut Option<SymbolId>,
    ) -> Option<Kind> {
        if let Some(from) = &chain.from {
            return self.root(name, from, tail, defines);
        }
        let known = self
            .symbols
            .find(self.problem, &name.key)
            .filter(|symbol| self.may_use(*symbol));
        if known.is_none() && !chain.conditions.is_empty() {
            self.symbol(name);
            return None;
        }
        let asks_again = rest.is_empty() && known.is_some();
        let (members, from, origin) = if !rest.is_empty() {
            (self.exprs(rest), None, None)
        } else if asks_again {
            (Some(Vec::new()), None, None)
        } else {
            match self.restate(name) {
                Some(restated) => (
                    Some(restated.members),
                    restated.number,
                    Some(restated.origin),
                ),
                None => (None, None, None),
            }
        };
        if let (Some([only]), syntax::Tail::None) = (members.as_deref(), &chain.tail)
            && matches!(
                only.kind,
                super::ExprKind::Quantity(_) | super::ExprKind::Number(_)
            )
        {
            self.report_number_in_work(name, only.span);
            self.define(name, defines)?;
            return None;
        }
        let symbol = match known {
            Some(symbol) if asks_again || !chain.conditions.is_empty() => symbol,
            _ => self.define(name, defines)?,
        };
        Some(Kind::Work(Box::new(statement::Work {
            lead: super::Expr {
                span: name.span,
                kind: super::ExprKind::Symbol(symbol),
            },
            members: members?,
            from,
            origin,
            tail: tail?,
            conditions: conditions?,
        })))
    }

    fn report_number_in_work(&mut self, name: &Name, number: Span) {
        let place = number;
        let (name, number) = (name.span.of(self.text), number.of(self.text));
        self.diagnostics.push(
            Diagnostic::error(
                Code::S12,
                place,
                format!("`{name} = {number}` defines `{name}` by a number, but data belong in `given`"),
            )
            .with_help(format!(
                "the line moved to `given`, or `{name} = {number} ?` for a number that the engine computes"
            )),
        );
    }

    fn tail(&mut self, tail: &Tail) -> Option<statement::Tail> {
        Some(match tail {
            Tail::None => statement::Tail::None,
            Tail::Ask(ask) => statement::Tail::Ask(self.ask(ask)?),
            Tail::Filled(literal, ask) => {
                statement::Tail::Filled(self.compared(literal)?, self.ask(ask)?)
            }
            Tail::Claim(literal) => statement::Tail::Claim(self.compared(literal)?),
        })
    }

    fn conditions(
        &mut self,
        conditions: &[syntax::Condition],
    ) -> Option<Vec<statement::Condition>> {
        let resolved: Vec<Option<statement::Condition>> = conditions
            .iter()
            .map(|condition| {
                let value = self.expr(&condition.value);
                let symbol = self.symbol(&condition.name)?;
                if !self.given.contains(&symbol) {
                    let written = condition.name.span.of(self.text);
                    self.diagnostics.push(
                        Diagnostic::error(
                            Code::N12,
                            condition.name.span,
                            format!("`{written}` is computed, so it cannot be replaced"),
                        )
                        .with_help("a condition on a name of `given`"),
                    );
                    return None;
                }
                Some(statement::Condition {
                    span: condition.span,
                    symbol,
                    value: value?,
                })
            })
            .collect();
        resolved.into_iter().collect()
    }

    fn required(&mut self, required: &syntax::Required) -> Option<Kind> {
        let symbol = self.symbols.intern(self.problem, &required.name.key);
        let ask = self.ask(&required.ask)?;
        let text = |word: &Option<syntax::Word>| word.as_ref().map(|word| word.text.clone());
        Some(Kind::Required(statement::Required {
            symbol,
            ask,
            positive: text(&required.positive),
            negative: text(&required.negative),
        }))
    }

    fn check(&mut self, line: &Line, check: &syntax::Check) -> Option<Kind> {
        if check.relations.contains(&syntax::Relation::Equal) && check.within.is_none() {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::C03,
                    line.span,
                    "an equality of computed values needs a tolerance",
                )
                .with_help(format!("`{} within 1 %`", line.span.of(self.text)))
                .with_fixes([Fix::new(
                    Decision::Choose,
                    format!("write `{} within 1 %`", line.span.of(self.text)),
                    line.span.at_end(),
                    " within 1 %",
                )]),
            );
            return None;
        }
        if let Some(within) = &check.within
            && check
                .relations
                .iter()
                .any(|relation| *relation != syntax::Relation::Equal)
        {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::S01,
                    within.span,
                    "a tolerance goes with an equality only",
                )
                .with_help("`a = b within 1 %`, or the comparison without `within`")
                .with_fixes(check.members.last().map(|last| {
                    let tolerance = Span {
                        start: last.span.end,
                        ..within.span
                    };
                    let written = tolerance.of(self.text).trim();
                    let title = format!("leave out `{written}`");
                    Fix::new(Decision::Choose, title, tolerance, "")
                })),
            );
            return None;
        }
        let members = self.exprs(&check.members);
        let within = match &check.within {
            Some(within) => Some(self.expr(within)?),
            None => None,
        };
        Some(Kind::Check(statement::Check {
            members: members?,
            relations: check.relations.clone(),
            within,
        }))
    }

    fn answer(&mut self, answer: &syntax::Answer) -> Option<Kind> {
        let expr = self.expr(&answer.expr);
        let ask = match &answer.ask {
            Some(ask) => self.ask(ask)?,
            None => statement::Ask {
                span: answer.expr.span,
                ..statement::Ask::default()
            },
        };
        let filled = match &answer.filled {
            Some(literal) => Some(self.compared(literal)?),
            None => None,
        };
        Some(Kind::Answer(Box::new(statement::Answer {
            expr: expr?,
            ask,
            filled,
        })))
    }

    pub(super) fn inline(&mut self, inline: &InlineAsk<'_>) -> Option<Inline> {
        self.problem = inline.problem;
        let expr = self.expr(&inline.ask.expr);
        let ask = self.ask(&inline.ask.ask)?;
        let filled = match &inline.ask.filled {
            Some(literal) => Some(self.compared(literal)?),
            None => None,
        };
        let conditions = self.conditions(&inline.ask.conditions)?;
        Some(Inline {
            problem: inline.problem,
            span: inline.span,
            expr: expr?,
            names_it: inline.ask.names_it,
            ask,
            filled,
            conditions,
        })
    }
}
