//! Which name stands where.
//!
//! In go the lines, the asks and the prose of a problem whose names are decided, out come all
//! names in its own part, in the order of the text, each with what it means to the resolver. Lines
//! that could not be read have names too: what looks like one, by its place alone.

use rustc_hash::FxHashMap;

use super::broken::name_to_define;
use super::{Block, InlineAsk, Meaning, Resolver};
use crate::quantity;
use crate::syntax::tokens::{self, TokenKind};
use crate::syntax::{
    self, BlockKind, Expr, ExprKind, Factor, Line, Literal, Name, Part, Spot, Statement, UnitExpr,
    order,
};
use crate::text::{Left, Span};

/// A name in its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Occurrence {
    /// Where it stands.
    pub span: Span,
    /// What it means.
    pub meaning: Meaning,
    /// Whether it is given its meaning here.
    pub is_definition: bool,
}

/// What names something in prose and asks for nothing.
#[derive(Debug, Clone)]
pub enum Mention {
    /// A code span that is one name.
    Name(Name),
    /// The label of an equation in a reference.
    Label(Span),
    /// An ask that could not be read.
    Unread(Span),
}

/// How well a place serves as the definition of its name; the first of the best is it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    /// It only uses the name.
    Use,
    /// It asks for it, in `required`.
    Asked,
    /// It stands on the left of an equation.
    Left,
    /// It gives it a value.
    Value,
}

impl Resolver<'_> {
    /// All names in what belongs to `problem` itself. The walk is over, so that names are known
    /// wherever they are defined.
    pub(super) fn occurrences(
        &mut self,
        problem: usize,
        blocks: &[Block<'_>],
        asks: &[InlineAsk<'_>],
        mentions: &[Mention],
    ) -> Vec<Occurrence> {
        self.problem = problem;
        let mut recorder = Recorder {
            resolver: self,
            found: Vec::new(),
            sketch: None,
        };
        let own = blocks.iter().filter(|block| block.problem == problem);
        own.for_each(|block| recorder.block(block));
        for ask in asks {
            let take = &mut |part| recorder.part(part, Rank::Use);
            ask.ask.for_each_part(take);
        }
        mentions
            .iter()
            .for_each(|mention| recorder.mention(mention));
        recorder.finish()
    }
}

struct Recorder<'r, 'a> {
    resolver: &'r mut Resolver<'a>,
    found: Vec<(Occurrence, Rank)>,
    /// Where the label of the sketch stands whose lines are walked.
    sketch: Option<Span>,
}

impl Recorder<'_, '_> {
    fn block(&mut self, block: &Block<'_>) {
        self.resolver.symbolic = block.kind == BlockKind::Derive;
        let first = block.places.first().map(|line| line.of(self.resolver.text));
        let first = first.filter(|_| block.kind == BlockKind::Sketch);
        self.sketch = first.and_then(|first| {
            let blanks = first.len() - first.trim_start().len();
            let start = block.places.first()?.start as usize + blanks;
            let label = tokens::label(first.trim_start())?;
            Some(Span::new(start, start + label.len()))
        });
        let is_read = |line: &&Line| !matches!(line.statement, Statement::Broken(_));
        let lines: Vec<&Line> = block.lines.iter().filter(is_read).collect();
        lines.iter().for_each(|line| self.line(block.kind, line));
        for place in block.places {
            // Lines are in order and do not overlap.
            let after = lines.partition_point(|line| line.span.start < place.end);
            let last = lines[..after].last();
            if last.is_none_or(|line| line.span.end <= place.start) {
                // A name that nothing else defines was to be defined there.
                let left = rank(block.kind);
                let left = if left == Rank::Use { Rank::Left } else { left };
                match first {
                    Some(first) => self.scan_sketch(*place, first),
                    None => self.scan(*place, left),
                }
            }
        }
        self.resolver.symbolic = false;
        self.sketch = None;
    }

    fn line(&mut self, block: BlockKind, line: &Line) {
        if let Some(label) = &line.label {
            self.label(label.span, Rank::Value);
        }
        if let Statement::Chain(chain) = &line.statement
            && let Some((name, parameters)) =
                self.resolver
                    .defined_function(block, chain, line.label.is_some())
        {
            self.resolver.take_parameters(name, &parameters);
        }
        if let Statement::Taken(taken) = &line.statement {
            let parameters: Vec<&Name> = taken.parameters.iter().collect();
            self.resolver.take_parameters(&taken.name, &parameters);
        }
        if let Statement::Tabulated(tabulated) = &line.statement {
            let parameter = [&tabulated.parameter];
            self.resolver.take_parameters(&tabulated.name, &parameter);
        }
        if let Statement::Plot(plot) = &line.statement
            && let Some(name) = self.resolver.own_name(plot)
        {
            self.resolver.take_parameters(name, &[name]);
        }
        if let Statement::Shear(shear) = &line.statement {
            self.label(shear.label.span, Rank::Use);
            // Each has a parameter of its own.
            for (name, parameter) in &shear.calls {
                self.resolver.take_parameters(name, &[parameter]);
                self.called(name);
                self.name(parameter, Rank::Use);
            }
            self.resolver.parameters.clear();
            return;
        }
        let mut is_first = true;
        line.statement.for_each_part(&mut |part| {
            // A side that is one name, or an unknown.
            let may_define = is_first || matches!(part, Part::Name(_));
            self.part(part, if may_define { rank(block) } else { Rank::Use });
            is_first = false;
        });
        self.resolver.parameters.clear();
    }

    /// `rank` is that of a name which stands alone.
    fn part(&mut self, part: Part<'_>, rank: Rank) {
        match part {
            Part::Expr(Expr {
                kind: ExprKind::Name(name),
                ..
            }) => self.name(name, rank),
            Part::Expr(expr) => self.expr(expr),
            Part::Name(name) => self.name(name, rank),
            Part::Called(name) => self.called(name),
            Part::Elsewhere(_) => {}
            Part::Literal(literal) => self.literal(literal),
            Part::Ask(ask) => ask.unit.iter().for_each(|unit| self.unit(unit)),
            Part::Label(label) => self.label(label.span, Rank::Use),
            Part::Unit(unit) => self.unit(unit),
            Part::Spot(spot) => self.spot(spot),
            Part::Word(_) => {}
        }
    }

    fn mention(&mut self, mention: &Mention) {
        match mention {
            Mention::Name(name) => match self.resolver.meaning(&name.key) {
                Meaning::Symbol(_) | Meaning::Function(_) => self.name(name, Rank::Use),
                // Words that only look like a name of the author's.
                Meaning::Language(_)
                | Meaning::Parameter { .. }
                | Meaning::Label { .. }
                | Meaning::Spot { .. }
                | Meaning::Unit
                | Meaning::Constant
                | Meaning::Undefined => {}
            },
            Mention::Label(span) => self.label(*span, Rank::Use),
            Mention::Unread(span) => self.scan(*span, Rank::Use),
        }
    }

    fn expr(&mut self, expr: &Expr) {
        match &expr.kind {
            ExprKind::Name(name) | ExprKind::Component(name, _) => self.name(name, Rank::Use),
            ExprKind::Quantity(literal) => self.literal(literal),
            ExprKind::Constant(word) => self.note(word.span, Meaning::Constant, Rank::Use),
            ExprKind::Product(factors) => return self.product(factors),
            ExprKind::Call { name, .. } => self.called(name),
            ExprKind::Number(_)
            | ExprKind::Sum(_)
            | ExprKind::Power(..)
            | ExprKind::Negative(_)
            | ExprKind::Group(_)
            | ExprKind::Abs(_)
            | ExprKind::List(_)
            | ExprKind::Vector(_)
            | ExprKind::Cases(_)
            | ExprKind::Where(..) => {}
        }
        expr.for_each_part(&mut |part| self.expr(part));
    }

    fn product(&mut self, factors: &[Factor]) {
        let mut at = 0;
        while let Some(factor) = factors.get(at) {
            if let Some((_, unit, next)) = self.resolver.unit_at(factors, at) {
                self.unit(&unit);
                at = next;
                continue;
            }
            match self.resolver.call_at(factors, at) {
                Some((name, ..)) => self.called(name),
                None => self.expr(&factor.expr),
            }
            at += 1;
        }
    }

    fn name(&mut self, name: &Name, rank: Rank) {
        let meaning = self.resolver.meaning(&name.key);
        self.note(name.span, meaning, rank);
    }

    /// A name before the bracket of its arguments.
    fn called(&mut self, name: &Name) {
        let meaning = self.resolver.called(&name.key);
        self.note(name.span, meaning, Rank::Use);
    }

    fn label(&mut self, span: Span, rank: Rank) {
        self.note(span, Meaning::Label { is_own: false }, rank);
    }

    /// A place or a section, of the sketch whose lines are walked or of one that a balance names.
    fn spot(&mut self, spot: Spot<'_>) {
        let of = match spot.of {
            None => self.sketch,
            Some(label) => {
                let mut above = self.resolver.sketches_above();
                let found = above.find(|sketch| sketch.label == label.text);
                found.map(|sketch| sketch.labelled)
            }
        };
        let rank = if spot.is_new { Rank::Value } else { Rank::Use };
        if let Some(of) = of {
            let is_section = spot.is_section;
            self.note(spot.name.span, Meaning::Spot { of, is_section }, rank);
        }
    }

    fn literal(&mut self, literal: &Literal) {
        literal.unit.iter().for_each(|unit| self.unit(unit));
    }

    fn unit(&mut self, unit: &UnitExpr) {
        for factor in unit.factors.iter().filter(|factor| &*factor.symbol != "1") {
            self.note(factor.span, Meaning::Unit, Rank::Use);
        }
    }

    /// Whatever looks like a name where nothing could be read; the one that the line was to define
    /// gets `rank`.
    fn scan(&mut self, place: Span, rank: Rank) {
        let text = self.resolver.text;
        let defined = name_to_define(text, place).map(|name| name.span);
        let (mut is_asked, mut is_number) = (false, false);
        for token in tokens::of_line(place.of(text)) {
            let span = token.place(place.start as usize);
            if token.kind == TokenKind::Label {
                let colon = span.end - 1;
                self.label(Span { end: colon, ..span }, Rank::Value);
            } else if token.kind == TokenKind::Word && !syntax::is_reserved(token.text) {
                let key = syntax::canonical(token.text);
                let name = Name { span, key };
                let is_unit = (is_asked && quantity::is_unit(token.text))
                    || (is_number && self.resolver.unit_factor(&name, 1, 1).is_some());
                match is_unit {
                    true => self.note(span, Meaning::Unit, Rank::Use),
                    false if defined == Some(span) => self.name(&name, rank),
                    false => self.name(&name, Rank::Use),
                }
            }
            is_asked |= token.kind == TokenKind::Ask;
            is_asked &= token.text != "at";
            is_number = token.kind == TokenKind::Number;
        }
    }

    /// The names in a line of a sketch that could not be read, as far as they can be told.
    fn scan_sketch(&mut self, place: Span, first: &str) {
        let line = place.of(self.resolver.text);
        let code = line
            .get(..tokens::tail(line).unwrap_or(line.len()))
            .unwrap_or("");
        let blanks = code.len() - code.trim_start().len();
        let label = tokens::label(code.trim_start());
        let at = blanks + label.map_or(0, |label| label.len() + 1);
        let start = place.start as usize;
        if let Some(label) = label {
            let from = start + blanks;
            self.label(Span::new(from, from + label.len()), Rank::Value);
        }
        let body = code.get(at..).unwrap_or("");
        for part in syntax::sketch_line(first, body).parts {
            let span = Span::new(start + at + part.start, start + at + part.end);
            let new = |is_new| if is_new { Rank::Value } else { Rank::Use };
            match (part.what, self.sketch) {
                (order::Part::Word | order::Part::Amount, _) => {}
                (order::Part::Formula, _) => self.scan(span, Rank::Use),
                (order::Part::Label, _) => self.label(span, Rank::Use),
                (order::Part::Place { is_new }, Some(of)) => {
                    let is_section = false;
                    self.note(span, Meaning::Spot { of, is_section }, new(is_new));
                }
                (order::Part::Section { is_new }, Some(of)) => {
                    let is_section = true;
                    self.note(span, Meaning::Spot { of, is_section }, new(is_new));
                }
                (order::Part::Place { .. } | order::Part::Section { .. }, None) => {}
            }
        }
    }

    fn note(&mut self, span: Span, meaning: Meaning, rank: Rank) {
        if span.is_empty() {
            return;
        }
        let occurrence = Occurrence {
            span,
            meaning,
            is_definition: false,
        };
        let rank = self.resolver.rank(span, meaning, rank);
        self.found.push((occurrence, rank));
    }

    /// The names in their order, with one definition for each.
    fn finish(self) -> Vec<Occurrence> {
        let text = self.resolver.text;
        let mut found = self.found;
        found.sort_by_key(|(occurrence, _)| (occurrence.span.start, occurrence.span.end));
        found.dedup_by_key(|(occurrence, _)| occurrence.span);
        // What has no definition of its own is told apart by its word.
        let named = |occurrence: &Occurrence| match occurrence.meaning {
            Meaning::Label { .. } | Meaning::Spot { .. } | Meaning::Undefined => {
                (occurrence.meaning, occurrence.span.of(text))
            }
            meaning => (meaning, ""),
        };
        let mut best: FxHashMap<(Meaning, &str), (Rank, Span)> = FxHashMap::default();
        for (occurrence, rank) in found.iter().filter(|(_, rank)| *rank > Rank::Use) {
            let first = best
                .entry(named(occurrence))
                .or_insert((*rank, occurrence.span));
            if *rank > first.0 {
                *first = (*rank, occurrence.span);
            }
        }
        let occurrences = found.iter().map(|(occurrence, _)| {
            let definition = best.get(&named(occurrence));
            Occurrence {
                meaning: match occurrence.meaning {
                    Meaning::Label { .. } => Meaning::Label {
                        is_own: definition.is_some(),
                    },
                    meaning => meaning,
                },
                is_definition: definition.is_some_and(|(_, span)| *span == occurrence.span),
                ..*occurrence
            }
        });
        occurrences.collect()
    }
}

impl Resolver<'_> {
    /// How well a place serves as a definition; `rank` is what its line makes of it.
    fn rank(&self, place: Span, meaning: Meaning, rank: Rank) -> Rank {
        match meaning {
            Meaning::Symbol(id) => {
                let symbol = self.symbols.symbol(id);
                let places = [self.later.get(&id).copied(), symbol.defined];
                match places.contains(&Some(place)) {
                    true => Rank::Value,
                    false if symbol.problem == self.problem => rank,
                    false => Rank::Use,
                }
            }
            Meaning::Function(id) if self.symbols.function(id).defined == place => Rank::Value,
            // The first stands in the brackets behind the name of the function.
            Meaning::Parameter { .. } => Rank::Left,
            Meaning::Label { .. } | Meaning::Spot { .. } | Meaning::Undefined => rank,
            Meaning::Function(_) | Meaning::Language(_) | Meaning::Unit | Meaning::Constant => {
                Rank::Use
            }
        }
    }
}

/// What a name claims that stands alone on the left of a line.
fn rank(block: BlockKind) -> Rank {
    match block.left() {
        Left::Asked => Rank::Asked,
        Left::Stated => Rank::Left,
        // Which line gives a value is known from the walk.
        Left::Defined | Left::Used => Rank::Use,
    }
}
