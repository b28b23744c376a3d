//! The look ahead: which names the worksheet defines, and where.
//!
//! Blocks are evaluated from top to bottom, but whether `m` is a unit depends on whether the
//! problem has a quantity `m` at all, wherever it stands.

use std::cmp::Ordering;

use super::{Block, Resolver};
use crate::algebra::Sign;
use crate::functions::Function;
use crate::syntax::{
    BlockKind, Chain, Datum, Expr, ExprKind, Magnitude, Name, Operator, Statement, UnitExpr,
};

/// Whether a name may be defined; reserved names of functions and constants of mathematics may not.
pub(super) fn may_be_name(key: &str) -> bool {
    key != "pi" && key != "inf" && Function::reserved(key).is_none()
}

impl<'a> Resolver<'a> {
    pub(super) fn declare(&mut self, blocks: &[Block<'a>]) {
        blocks.iter().for_each(|block| self.declare_lines(*block));
        // Second, since a name that is defined elsewhere is not that of a refused heading.
        for block in blocks {
            self.problem = block.problem;
            for line in block.lines {
                if let Statement::Data(data) = &line.statement {
                    let names = data.unread.lists.iter();
                    names.for_each(|name| self.declare_name(name));
                }
            }
        }
        // After that, so that a name that is only written in an equation finds the symbol that a
        // block below it defines.
        for block in blocks
            .iter()
            .filter(|block| block.kind == BlockKind::Derive)
        {
            self.problem = block.problem;
            for line in block.lines {
                if let Statement::Chain(chain) = &line.statement
                    && self.function_head(chain).is_some()
                {
                    continue;
                }
                let sides = line.statement.facts().sides;
                sides.iter().for_each(|side| self.mention(side));
            }
        }
        for block in blocks {
            self.problem = block.problem;
            self.declare_functions(*block);
        }
        self.keeps_equations = blocks
            .iter()
            .flat_map(|block| block.lines)
            .any(|line| line.statement.facts().refers);
    }

    /// Declares what the lines of one block define.
    pub(super) fn declare_lines(&mut self, block: Block<'a>) {
        self.problem = block.problem;
        for line in block.lines {
            match (&line.statement, block.kind) {
                (Statement::Chain(chain), BlockKind::Given | BlockKind::Work) => {
                    self.declare_lead(chain, block.kind);
                }
                (Statement::Solve(solve), BlockKind::Work) => {
                    for unknown in &solve.unknowns {
                        self.declare_name(&unknown.name);
                    }
                }
                (Statement::Data(data), _) => {
                    data.names().for_each(|name| self.declare_name(name));
                }
                (Statement::Parameter(parameter), _) => self.declare_name(&parameter.name),
                (Statement::Scatter(scatter), _) => self.declare_name(&scatter.name),
                (Statement::Taken(taken), _) if taken.parameters.is_empty() => {
                    self.declare_name(&taken.name);
                    let symbol = self.symbols.find(self.problem, &taken.name.key);
                    self.given.extend(symbol);
                }
                (Statement::Broken(Some(refused)), _) if !refused.is_function => {
                    let name = &refused.name;
                    let symbol = self.symbols.intern_declared(self.problem, &name.key);
                    self.later.entry(symbol).or_insert(name.span);
                }
                (Statement::Required(required), _) => {
                    self.symbols.intern(self.problem, &required.name.key);
                }
                _ => {}
            }
        }
    }

    /// Notes the functions of the author that are called like one of the language, so that the
    /// name has one meaning in the whole problem.
    fn declare_functions(&mut self, block: Block<'a>) {
        for line in block.lines {
            let name = match &line.statement {
                Statement::Tabulated(tabulated) => Some(&tabulated.name),
                Statement::Taken(taken) if !taken.parameters.is_empty() => Some(&taken.name),
                _ => None,
            };
            let cut = match &line.statement {
                Statement::Shear(shear) => shear.calls.as_slice(),
                _ => &[],
            };
            for name in name.into_iter().chain(cut.iter().map(|(name, _)| name)) {
                let key = &name.key;
                if Function::named(key).is_some() {
                    self.own_functions.insert((self.problem, key.clone()));
                }
            }
            let Statement::Chain(chain) = &line.statement else {
                continue;
            };
            let is_equation = block.kind == BlockKind::Derive && line.label.is_some();
            if let Some((name, _)) = self.function_head(chain)
                && !is_equation
                && Function::named(&name.key).is_some()
            {
                self.own_functions.insert((self.problem, name.key.clone()));
            }
        }
    }

    fn declare_name(&mut self, name: &Name) {
        if may_be_name(&name.key) {
            let symbol = self.symbols.intern_declared(self.problem, &name.key);
            self.later.entry(symbol).or_insert(name.span);
        }
    }

    /// The sign of a datum, as far as its literal tells. A temperature counts from absolute zero.
    fn remember_sign(&mut self, symbol: super::SymbolId, value: &Expr) {
        let number = match &value.kind {
            ExprKind::Number(number) => number.value,
            ExprKind::Quantity(literal) => match (&literal.magnitude, &literal.unit) {
                (
                    Magnitude::One(_) | Magnitude::Fraction(..) | Magnitude::Mixed(..),
                    Some(unit),
                ) if literal.datum != Some(Datum::Difference) && is_scale(unit) => 1.0,
                (Magnitude::One(number), _) => number.value,
                (Magnitude::Fraction(above, below), _) => above.value * below.value,
                (Magnitude::Mixed(whole, ..), _) => whole.value,
                _ => return,
            },
            _ => return,
        };
        let sign = match number.partial_cmp(&0.0) {
            Some(Ordering::Greater) => Sign::POSITIVE,
            Some(Ordering::Less) => Sign::NEGATIVE,
            Some(Ordering::Equal) => Sign::ZERO,
            None => return,
        };
        self.signs.insert(symbol, sign);
    }

    fn declare_lead(&mut self, chain: &Chain, kind: BlockKind) {
        let Some(Expr {
            kind: ExprKind::Name(name),
            ..
        }) = chain.members.first()
        else {
            return;
        };
        if !chain.conditions.is_empty() || !may_be_name(&name.key) {
            return;
        }
        let symbol = self.symbols.intern_declared(self.problem, &name.key);
        self.later.entry(symbol).or_insert(name.span);
        if kind == BlockKind::Given {
            self.given.insert(symbol);
            if let [_, value] = chain.members.as_slice() {
                self.remember_sign(symbol, value);
            }
        }
    }

    fn mention(&mut self, expr: &Expr) {
        match &expr.kind {
            ExprKind::Name(name) if &*name.key != "pi" => {
                self.symbols.intern(self.problem, &name.key);
            }
            ExprKind::Sum(terms) => terms.iter().for_each(|term| self.mention(&term.expr)),
            ExprKind::Product(factors) => {
                let mut after_number = false;
                for factor in factors {
                    let follows = after_number && factor.operator == Operator::Juxtapose;
                    if !(follows && self.can_only_be_unit(&factor.expr)) {
                        self.mention(&factor.expr);
                    }
                    after_number = matches!(factor.expr.kind, ExprKind::Number(_));
                }
            }
            ExprKind::Power(base, exponent) => {
                self.mention(base);
                self.mention(exponent);
            }
            ExprKind::Negative(inner) | ExprKind::Group(inner) | ExprKind::Abs(inner) => {
                self.mention(inner);
            }
            ExprKind::Call { arguments, .. }
            | ExprKind::List(arguments)
            | ExprKind::Vector(arguments) => {
                arguments.iter().for_each(|argument| self.mention(argument));
            }
            ExprKind::Component(name, _) => {
                self.symbols.intern(self.problem, &name.key);
            }
            ExprKind::Cases(cases) => cases.iter().for_each(|case| self.mention(&case.value)),
            ExprKind::Where(list, _) => self.mention(list),
            ExprKind::Name(_)
            | ExprKind::Number(_)
            | ExprKind::Quantity(_)
            | ExprKind::Constant(_) => {}
        }
    }

    /// Whether an expression right after a number in `derive` is a unit of several letters
    /// (`101 kPa`, `30 deg`): a quantity of that name would be mentioned without a number, too.
    fn can_only_be_unit(&self, expr: &Expr) -> bool {
        let base = match &expr.kind {
            ExprKind::Power(base, _) => base,
            _ => expr,
        };
        matches!(&base.kind, ExprKind::Name(name)
            if name.key.chars().count() > 1 && crate::quantity::is_unit(name.span.of(self.text)))
    }

    /// The name and parameters, when a chain defines a function: `h_f(Q) = …`.
    pub(super) fn function_head<'c>(&self, chain: &'c Chain) -> Option<(&'c Name, Vec<&'c Name>)> {
        let ExprKind::Call {
            name,
            arguments,
            bracketed: true,
        } = &chain.members.first()?.kind
        else {
            return None;
        };
        let is_quantity = self
            .symbols
            .find(self.problem, &name.key)
            .is_some_and(|symbol| self.later.contains_key(&symbol));
        if is_quantity || Function::reserved(&name.key).is_some() {
            return None;
        }
        let parameters = arguments
            .iter()
            .map(|argument| match &argument.kind {
                ExprKind::Name(parameter) => Some(parameter),
                _ => None,
            })
            .collect::<Option<Vec<&Name>>>()?;
        (chain.members.len() > 1 && parameters.len() <= 16).then_some((name, parameters))
    }
}

/// Whether a unit is a temperature scale whose zero is not absolute zero.
fn is_scale(unit: &UnitExpr) -> bool {
    matches!(unit.factors.as_slice(), [only]
        if matches!(&*only.symbol, "degC" | "degF" | "°C" | "°F"))
}
