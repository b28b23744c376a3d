//! What a result comes to with a slip: one change of the lines that it reads, of the data, or at
//! the end.
//!
//! The changes of formulas are those of `resolve::slip`; those of numbers are made here, where
//! their units and values are known. Lines are changed up to names that are given already: how
//! these came about is not asked.

use rustc_hash::FxHashSet;

use super::instead::{Instead, Refusal, Replay, Stands};
use super::program::Program;
use super::solve::Sides;
use super::value::Value;
use crate::dimensions::{Datum, Reading, Scale};
use crate::quantity::Unit;
use crate::resolve::slip::{self, Slip};
use crate::resolve::{Expr, ExprKind, Quantity, SymbolId};
use crate::text::Span;

/// So many slips of a result are looked at.
pub const MOST_SLIPS: usize = 400;

/// The atmosphere, in pascals, where a worksheet has none of its own.
const ATMOSPHERE: f64 = 101_325.0;

/// From the zero of degrees Celsius to that of kelvins.
const ICE: f64 = 273.15;

const TURN: f64 = std::f64::consts::TAU;

/// What kind of slip it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum SlipClass {
    /// A prefix forgotten, another taken, or per cent not divided.
    Prefix,
    /// Two digits of a datum exchanged.
    Digits,
    /// A thousand times the answer, or a thousandth.
    Answer,
    /// The other sign.
    Sign,
    /// A term or a factor forgotten.
    LeftOut,
    /// 2, 4 or 1/2 forgotten.
    Factor,
    /// A diameter for a radius, or the reverse.
    Diameter,
    /// Sine for cosine.
    Function,
    /// Degrees for radians.
    Angle,
    /// A square or a root forgotten.
    Square,
    /// A ratio the other way up, or a product for it.
    Ratio,
    /// Gauge for absolute.
    Pressure,
    /// Degrees Celsius for kelvins, or an interval for a point.
    Temperature,
    /// Turns for radians, minutes for seconds.
    Turning,
}

impl SlipClass {
    /// Whether the method is wrong, and not its working alone.
    pub fn is_of_method(self) -> bool {
        !matches!(self, Self::Prefix | Self::Digits | Self::Answer)
    }

    /// As it is told.
    pub fn name(self) -> &'static str {
        match self {
            Self::Prefix => "prefix",
            Self::Digits => "digits",
            Self::Answer => "answer",
            Self::Sign => "sign",
            Self::LeftOut => "left out",
            Self::Factor => "factor",
            Self::Diameter => "diameter",
            Self::Function => "function",
            Self::Angle => "angle",
            Self::Square => "square",
            Self::Ratio => "ratio",
            Self::Pressure => "pressure",
            Self::Temperature => "temperature",
            Self::Turning => "turning",
        }
    }

    fn of(slip: Slip) -> Self {
        match slip {
            Slip::Sign => Self::Sign,
            Slip::Factor(_) | Slip::NoNumber => Self::Factor,
            Slip::Square | Slip::NoSquare | Slip::NoRoot => Self::Square,
            Slip::Function(..) => Self::Function,
            Slip::Inverted | Slip::Multiplied => Self::Ratio,
            Slip::NoTerm | Slip::NoFactor => Self::LeftOut,
            Slip::NoTurn => Self::Turning,
        }
    }
}

/// A slip that a result may have.
#[derive(Debug, Clone, PartialEq)]
pub struct SlipOf {
    /// What kind it is.
    pub class: SlipClass,
    /// What it is: `D_2` taken for the radius.
    pub words: String,
    /// The name whose line or datum it is in; of a slip at the end that of the result.
    pub symbol: SymbolId,
    /// The part of the text of the problem that is changed.
    pub place: Span,
    edits: Vec<Edit>,
}

/// What a slip changes.
#[derive(Debug, Clone, PartialEq)]
enum Edit {
    /// A value, wherever it is read, times this.
    Scaled(SymbolId, f64),
    /// A value, wherever it is read, and this.
    Moved(SymbolId, f64),
    /// The formula of a name.
    Formula(SymbolId, Program),
    /// The equations of names, by the first of them.
    Equations(SymbolId, Vec<Sides>),
    /// The result.
    Result(AtTheEnd),
}

/// What is done to a result at the end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct AtTheEnd {
    pub scale: f64,
    shift: f64,
}

impl AtTheEnd {
    /// Nothing is.
    pub const NOTHING: Self = Self {
        scale: 1.0,
        shift: 0.0,
    };

    fn scaled(scale: f64) -> Vec<Edit> {
        vec![Edit::Result(Self { scale, shift: 0.0 })]
    }

    fn moved(shift: f64) -> Vec<Edit> {
        vec![Edit::Result(Self { scale: 1.0, shift })]
    }
}

/// The slips of a result.
#[derive(Debug, Clone, Default)]
pub struct Slips {
    /// Those that are looked at.
    pub found: Vec<SlipOf>,
    /// Whether there are no others.
    pub are_all: bool,
}

/// What is known about the one who made it.
#[derive(Debug, Clone, Default)]
pub struct SlipGround {
    /// Names of which there is a value, so that the lines behind them are not changed.
    pub given: FxHashSet<SymbolId>,
    /// Data that are not the same for everybody: these are miscopied, and not left out.
    pub varied: FxHashSet<SymbolId>,
}

/// A formula or a side of an equation that a result reads.
struct Line<'a> {
    symbol: SymbolId,
    expr: &'a Expr,
    /// Of a root the first of the names with it, and which side of which equation it is.
    side: Option<(SymbolId, usize, usize)>,
}

impl SlipOf {
    /// Whether it is made at the end, so that it is a slip of this one result.
    pub fn is_at_the_end(&self) -> bool {
        matches!(self.edits.as_slice(), [Edit::Result(_)])
    }
}

impl Replay<'_> {
    /// The slips that a result may have, those in its own line first.
    pub fn slips(&self, symbol: SymbolId, ground: &SlipGround) -> Slips {
        let mut finder = Finder {
            replay: self,
            ground,
            found: Vec::new(),
        };
        finder.all(symbol);
        let mut found = finder.found;
        let are_all = found.len() <= MOST_SLIPS;
        found.truncate(MOST_SLIPS);
        Slips { found, are_all }
    }

    /// The value of a result with a slip, and with what else is other.
    ///
    /// # Errors
    /// Why there is none.
    pub fn slipped(
        &self,
        symbol: SymbolId,
        slip: &SlipOf,
        instead: &Instead,
    ) -> Result<Value, Refusal> {
        let (own, at_the_end) = self.with_slip(slip, instead)?;
        let value = self.value(symbol, &own)?;
        Ok(each(&value, |it| it * at_the_end.scale + at_the_end.shift))
    }

    /// What is other with a slip besides, and what is done at the end.
    pub(super) fn with_slip(
        &self,
        slip: &SlipOf,
        instead: &Instead,
    ) -> Result<(Instead, AtTheEnd), Refusal> {
        let mut own = instead.clone();
        let mut at_the_end = AtTheEnd::NOTHING;
        for edit in &slip.edits {
            own = match edit {
                Edit::Scaled(at, by) => {
                    own.with(*at, each(&self.value(*at, instead)?, |it| it * by))
                }
                Edit::Moved(at, by) => {
                    own.with(*at, each(&self.value(*at, instead)?, |it| it + by))
                }
                Edit::Formula(at, formula) => own.with_formula(*at, formula.clone()),
                Edit::Equations(at, sides) => own.with_equations(*at, sides.clone()),
                Edit::Result(change) => {
                    at_the_end = *change;
                    own
                }
            };
        }
        Ok((own, at_the_end))
    }
}

fn each(value: &Value, change: impl Fn(f64) -> f64) -> Value {
    Value {
        rows: value.rows.iter().map(|it| change(*it)).collect(),
        shape: value.shape,
        of: value.of.clone(),
        ..Value::default()
    }
}

struct Finder<'f, 'a> {
    replay: &'f Replay<'a>,
    ground: &'f SlipGround,
    found: Vec<SlipOf>,
}

impl<'f> Finder<'f, '_> {
    fn all(&mut self, symbol: SymbolId) {
        let (lines, read) = self.reached(symbol);
        for line in &lines {
            self.of_line(line);
        }
        self.left_out_everywhere(&lines);
        for own in read {
            self.of_number(own);
            if !self.ground.given.contains(&own) {
                self.of_datum(own);
            }
        }
        self.of_result(symbol);
    }

    /// The lines that a result is had from, and the names that they read.
    fn reached(&self, symbol: SymbolId) -> (Vec<Line<'f>>, Vec<SymbolId>) {
        let replay = self.replay;
        let (mut lines, mut read) = (Vec::new(), Vec::new());
        let mut seen: FxHashSet<SymbolId> = [symbol].into_iter().collect();
        let mut open = std::collections::VecDeque::from([symbol]);
        while let Some(symbol) = open.pop_front() {
            if let Some((symbols, equations)) = replay.equations(symbol) {
                let first = symbols.first().copied().unwrap_or(symbol);
                // What is found together is changed once.
                let is_new = first == symbol || !seen.contains(&first);
                for (at, pair) in equations.iter().enumerate().filter(|_| is_new) {
                    for (side, expr) in pair.iter().enumerate() {
                        lines.push(Line {
                            symbol,
                            expr,
                            side: Some((first, at, side)),
                        });
                    }
                }
            } else if !is_literal(replay.datum(symbol)) {
                let formulas = replay.formulas(symbol).into_iter();
                let mut first = formulas.filter(|formula| formula.stands == Stands::First);
                if let Some(formula) = first.next() {
                    let expr = formula.expr;
                    let side = None;
                    lines.push(Line { symbol, expr, side });
                }
            }
            for own in replay.reads(symbol) {
                if seen.insert(own) {
                    read.push(own);
                    if !self.ground.given.contains(&own) {
                        open.push_back(own);
                    }
                }
            }
        }
        (lines, read)
    }

    /// Whether a name is a datum that is the same for everybody, so that it may be forgotten.
    fn may_be_left_out(&self, symbol: SymbolId) -> bool {
        !self.ground.varied.contains(&symbol) && self.replay.datum(symbol).is_some()
    }

    fn push(
        &mut self,
        class: SlipClass,
        words: String,
        (symbol, place): (SymbolId, Span),
        edits: Vec<Edit>,
    ) {
        self.found.push(SlipOf {
            class,
            words,
            symbol,
            place,
            edits,
        });
    }

    fn of_line(&mut self, line: &Line<'_>) {
        let replay = self.replay;
        let mut changes: Vec<(Expr, Span, Slip)> = Vec::new();
        let may_leave_out = |symbol| self.may_be_left_out(symbol);
        slip::each(
            line.expr,
            &|part, visit| slip::of_line(part, &may_leave_out, visit),
            &mut |expr, place, slip| changes.push((expr, place, slip)),
        );
        for (expr, place, slip) in changes {
            // A whole sum or side with the other sign is the other direction.
            let words = slip.told(place.of(replay.text()));
            let edit = self.edit(line, &expr);
            let at = (line.symbol, place);
            self.push(SlipClass::of(slip), words, at, vec![edit]);
        }
    }

    /// A line that says something else.
    fn edit(&self, line: &Line<'_>, expr: &Expr) -> Edit {
        let replay = self.replay;
        match line.side {
            None => Edit::Formula(line.symbol, replay.compile(line.symbol, expr)),
            Some((first, at, side)) => {
                let mut equations = replay.equations(first).map_or(Vec::new(), |(_, all)| all);
                let own = expr.clone();
                if let Some(pair) = equations.get_mut(at) {
                    pair[side] = &own;
                }
                Edit::Equations(first, replay.compiled(&equations))
            }
        }
    }

    /// `pi`, or a datum that is the same for everybody, forgotten wherever it stands.
    fn left_out_everywhere(&mut self, lines: &[Line<'_>]) {
        let mut names: Vec<Option<SymbolId>> = vec![None];
        for line in lines {
            line.expr.for_each_symbol(&mut |symbol, _| {
                if self.may_be_left_out(symbol) && !names.contains(&Some(symbol)) {
                    names.push(Some(symbol));
                }
            });
        }
        for name in names {
            let wanted = |expr: &Expr| match name {
                None => matches!(expr.kind, ExprKind::Pi),
                Some(symbol) => expr.as_symbol() == Some(symbol),
            };
            let with_it = lines.iter().filter(|line| slip::stands(line.expr, &wanted));
            // Sides of one root would undo each other.
            let all: Option<Vec<(&Line<'_>, Expr, usize)>> = with_it
                .map(|line| match line.side {
                    None => {
                        slip::without(line.expr, &wanted).map(|(expr, count)| (line, expr, count))
                    }
                    Some(_) => None,
                })
                .collect();
            let Some(all) = all else { continue };
            let count: usize = all.iter().map(|(.., count)| count).sum();
            let Some((first, ..)) = all.first().filter(|_| count > 1) else {
                continue;
            };
            let key = name.map_or("pi", |name| self.key(name));
            let words = format!("`{key}` left out everywhere");
            let at = (first.symbol, first.expr.span);
            let edits = all.iter().map(|(line, expr, _)| self.edit(line, expr));
            let edits = edits.collect();
            self.push(SlipClass::LeftOut, words, at, edits);
        }
    }

    fn key(&self, symbol: SymbolId) -> &str {
        &self.replay.symbols().symbol(symbol).key
    }

    fn reading(&self, symbol: SymbolId) -> Option<Reading> {
        let found = self.replay.walk.checked.symbols.get(symbol)?;
        Some(found.reading)
    }

    fn atmosphere(&self) -> f64 {
        let replay = self.replay;
        let symbols = replay.symbols();
        let own = (0..2)
            .rev()
            .find_map(|scope| symbols.find(scope, crate::syntax::ATMOSPHERE));
        let own = own.and_then(|own| replay.present(own));
        own.map_or(ATMOSPHERE, |own| own.at(0))
    }

    /// What is done to a number where it is read, whether it was given or computed.
    fn of_number(&mut self, symbol: SymbolId) {
        let (Some(line), Some(reading)) = (self.replay.line(symbol), self.reading(symbol)) else {
            return;
        };
        let key = self.key(symbol).to_owned();
        let at = (symbol, line.span);
        if matches!(reading, Reading::Pressure(Datum::Gauge, _)) {
            let by = self.atmosphere();
            let edit = vec![Edit::Moved(symbol, by)];
            let words = format!("`{key}` made absolute");
            self.push(SlipClass::Pressure, words, at, edit);
            let edit = vec![Edit::Moved(symbol, -by)];
            let words = format!("`{key}` read as absolute");
            self.push(SlipClass::Pressure, words, at, edit);
        }
        if !matches!(reading, Reading::Scaled(Scale::Temperature, _)) {
            return;
        }
        if reading.is_interval() {
            let words = format!("`{key}` shifted by 273.15");
            let edit = vec![Edit::Moved(symbol, ICE)];
            self.push(SlipClass::Temperature, words, at, edit);
        } else if line.facts().unit.is_some_and(|unit| unit.offset() == ICE) {
            let words = format!("`{key}` in degrees Celsius used as kelvins");
            let edit = vec![Edit::Moved(symbol, -ICE)];
            self.push(SlipClass::Temperature, words, at, edit);
        }
    }

    /// What is done to the number of a datum.
    fn of_datum(&mut self, symbol: SymbolId) {
        let replay = self.replay;
        let (Some(line), Some(value)) = (replay.line(symbol), replay.datum(symbol)) else {
            return;
        };
        let ExprKind::Quantity(quantity) = &value.inside().kind else {
            return;
        };
        let key = self.key(symbol).to_owned();
        let at = (symbol, line.span);
        let scaled = |by: f64| vec![Edit::Scaled(symbol, by)];
        for (class, words, by) in of_unit(&quantity.unit, &key) {
            self.push(class, words, at, scaled(by));
        }
        if self.ground.varied.contains(&symbol) {
            for edit in self.exchanged(symbol, quantity) {
                let words = format!("two digits of `{key}` exchanged");
                self.push(SlipClass::Digits, words, at, vec![edit]);
            }
        }
        let description = line.description.map(|place| place.of(replay.text()));
        let description = description.unwrap_or("").to_lowercase();
        if description.contains("diameter") {
            let words = format!("`{key}` taken for the radius");
            self.push(SlipClass::Diameter, words, at, scaled(2.0));
            let words = format!("the radius taken for `{key}`");
            self.push(SlipClass::Diameter, words, at, scaled(0.5));
        } else if description.contains("radius") {
            let words = format!("`{key}` taken for the diameter");
            self.push(SlipClass::Diameter, words, at, scaled(0.5));
            let words = format!("the diameter taken for `{key}`");
            self.push(SlipClass::Diameter, words, at, scaled(2.0));
        }
    }

    /// A number with two neighbouring digits exchanged, for each two that differ.
    fn exchanged(&self, symbol: SymbolId, quantity: &Quantity) -> Vec<Edit> {
        let [number] = quantity.values.as_slice() else {
            return Vec::new();
        };
        let text = quantity.number.of(self.replay.text());
        let written = text.split(['e', 'E']).next().unwrap_or(text);
        let digits: Vec<usize> = (written.char_indices())
            .filter(|(_, letter)| letter.is_ascii_digit())
            .map(|(at, _)| at)
            .collect();
        let Ok(before) = written.parse::<f64>() else {
            return Vec::new();
        };
        let mut found = Vec::new();
        for pair in digits.windows(2) {
            let mut bytes = written.as_bytes().to_vec();
            bytes.swap(pair[0], pair[1]);
            let swapped = String::from_utf8_lossy(&bytes).parse::<f64>();
            let Some(after) = swapped
                .ok()
                .filter(|after| *after != before && *after != 0.0)
            else {
                continue;
            };
            let offset = quantity.unit.offset();
            found.push(match offset == 0.0 {
                true => Edit::Scaled(symbol, after / before),
                false => Edit::Moved(
                    symbol,
                    (after - before) * quantity.unit.factor() * number / before,
                ),
            });
        }
        found
    }

    /// What is done to the result at the end.
    fn of_result(&mut self, symbol: SymbolId) {
        let place = self
            .replay
            .line(symbol)
            .map_or(Span::default(), |line| line.span);
        let at = (symbol, place);
        for (words, by) in [
            ("1000 times the answer", 1e3),
            ("1/1000 of the answer", 1e-3),
        ] {
            let edit = AtTheEnd::scaled(by);
            self.push(SlipClass::Answer, words.to_owned(), at, edit);
        }
        let key = self.key(symbol).to_owned();
        match self.reading(symbol) {
            Some(Reading::Pressure(Datum::Gauge, _)) => {
                let edit = AtTheEnd::moved(self.atmosphere());
                let words = format!("`{key}` made absolute");
                self.push(SlipClass::Pressure, words, at, edit);
            }
            Some(reading @ Reading::Scaled(Scale::Temperature, _)) if reading.is_interval() => {
                let edit = AtTheEnd::moved(ICE);
                let words = format!("`{key}` shifted by 273.15");
                self.push(SlipClass::Temperature, words, at, edit);
            }
            _ => {}
        }
    }
}

fn is_literal(datum: Option<&Expr>) -> bool {
    datum.is_some_and(|datum| {
        matches!(
            datum.inside().kind,
            ExprKind::Quantity(_) | ExprKind::Number(_) | ExprKind::Numeral(_)
        )
    })
}

/// What a number in a unit is multiplied by where the unit is taken for another.
fn of_unit(unit: &Unit, key: &str) -> Vec<(SlipClass, String, f64)> {
    let mut found = Vec::new();
    let factor = unit.factor();
    let source = unit.source();
    if unit.offset() != 0.0 || source.is_empty() {
        return found;
    }
    if unit.is_share() {
        let words = format!("`{key}` not divided by {:.0}", 1.0 / factor);
        return vec![(SlipClass::Prefix, words, 1.0 / factor)];
    }
    if is_degree(factor, source) {
        let words = format!("`{key}` in degrees read as radians");
        return vec![(SlipClass::Angle, words, 1.0 / factor)];
    }
    let power = factor.log10();
    if factor > 0.0 && power.round() != 0.0 && (power - power.round()).abs() < 1e-9 {
        let words = format!("`{key}` taken without its prefix");
        found.push((SlipClass::Prefix, words, 1.0 / factor));
    }
    for (power, own) in [(1, "mm"), (2, "mm^2"), (3, "mm^3"), (4, "mm^4")] {
        if source == own {
            let cm = own.replace("mm", "cm");
            let words = format!("`{key}` in {cm} for mm");
            found.push((SlipClass::Prefix, words, 10_f64.powi(power)));
        }
    }
    let (is_rate, is_time) = (
        source == "rpm" || source.contains("/min") || source.contains("min^-1"),
        source.contains("min"),
    );
    let minute = if is_rate { 60.0 } else { 1.0 / 60.0 };
    if is_rate || is_time {
        let words = format!("minutes taken for seconds in `{key}`");
        found.push((SlipClass::Turning, words, minute));
    }
    if source == "rpm" || source.starts_with("rev/") {
        let words = format!("2 pi left out at `{key}`");
        found.push((SlipClass::Turning, words, 1.0 / TURN));
        let words = format!("2 pi too often at `{key}`");
        found.push((SlipClass::Turning, words, TURN));
        if is_rate {
            let words = format!("60 and 2 pi at `{key}`");
            found.push((SlipClass::Turning, words, minute / TURN));
        }
    }
    found
}

fn is_degree(factor: f64, source: &str) -> bool {
    let degree = std::f64::consts::PI / 180.0;
    (factor - degree).abs() < 1e-12 && !source.contains('/')
}
