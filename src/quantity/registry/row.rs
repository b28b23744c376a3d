//! A row of the registry: what a unit is called, how it is printed and what it is.

use uom::Conversion;
use uom::typenum::Integer;

use super::size::Size;
use crate::functions::Function;
use crate::precise::{self, Precise, Rational};
use crate::quantity::{Dimension, Family, Mark};

/// A unit of the registry.
#[derive(Debug)]
pub struct Row {
    symbols: &'static [&'static str],
    printed: &'static str,
    name: &'static str,
    prefixed: bool,
    mark: Mark,
    family: Option<Family>,
    closed: Option<&'static str>,
    source: &'static str,
    definition: Definition,
}

/// What a unit is.
#[derive(Debug)]
enum Definition {
    /// What `uom` says.
    Uom(fn() -> Measure),
    /// A product of exact constants; the offset is in the unit itself.
    Exact(Size, Dimension, f64),
}

/// Size, dimension and offset of a unit.
#[derive(Clone, Copy, Debug)]
pub(in crate::quantity) struct Measure {
    pub size: Size,
    pub dimension: Dimension,
    /// What is added to a reading in the unit itself before it is scaled.
    pub offset: f64,
}

impl Row {
    /// Every way to type it; the first, in ASCII, is the one we write.
    pub const fn symbols(&self) -> &'static [&'static str] {
        self.symbols
    }

    /// The spelling we write into worksheets.
    pub fn symbol(&self) -> &'static str {
        self.symbols.first().copied().unwrap_or_default()
    }

    /// How it is printed: "°C", "Ω".
    pub fn printed(&self) -> &'static str {
        self.printed
    }

    /// Its name: "pascal", "pound-force".
    pub fn name(&self) -> &'static str {
        self.name
    }

    /// Its dimension.
    pub fn dimension(&self) -> Dimension {
        self.measure().dimension
    }

    /// Its size in coherent SI units.
    pub fn factor(&self) -> f64 {
        self.measure().size.number()
    }

    /// What it adds to a reading before it scales it: 273.15 for the degree Celsius.
    pub fn offset(&self) -> f64 {
        self.measure().offset
    }

    /// Its size in coherent SI units as it is published, exactly: `1/60`, `0.3048`, `π/180`. Where
    /// the fraction is long, a decimal stands beside it.
    pub fn exact_factor(&self) -> String {
        match self.closed {
            Some(closed) => closed.to_owned(),
            None => self.measure().size.exactly(),
        }
    }

    /// Its published definition, and where it is published.
    pub fn source(&self) -> &'static str {
        self.source
    }

    /// Whether it takes SI prefixes.
    pub fn takes_prefixes(&self) -> bool {
        self.prefixed
    }

    /// How it reads its number when it stands alone.
    pub fn mark(&self) -> Mark {
        self.mark
    }

    /// The system it belongs to.
    pub fn family(&self) -> Option<Family> {
        self.family
    }

    /// Its size in coherent SI units, exactly. The numbers of which it is a quotient are the
    /// decimals of its definition.
    pub(in crate::quantity) fn precise(&self) -> Precise {
        let number = |found: Option<Rational>| found.map_or(Precise::unknown(), Precise::rational);
        if let Some(closed) = self.closed {
            let (above, below) = closed.split_once('/').unwrap_or((closed, "1"));
            return read_closed(above).over(&read_closed(below));
        }
        let size = self.measure().size;
        let [above, below] = [size.numerator, size.denominator].map(precise::shortest);
        number(above).over(&number(below))
    }

    pub(in crate::quantity) fn measure(&self) -> Measure {
        match self.definition {
            Definition::Uom(read) => read(),
            Definition::Exact(size, dimension, offset) => Measure {
                size,
                dimension,
                offset,
            },
        }
    }

    const fn new(
        symbols: &'static [&'static str],
        name: &'static str,
        source: &'static str,
        definition: Definition,
    ) -> Row {
        Row {
            symbols,
            printed: match symbols {
                [first, ..] => first,
                [] => "",
            },
            name,
            prefixed: false,
            mark: Mark::None,
            family: None,
            closed: None,
            source,
            definition,
        }
    }

    /// A unit that `uom` defines.
    pub(super) const fn uom(
        symbols: &'static [&'static str],
        name: &'static str,
        source: &'static str,
        read: fn() -> Measure,
    ) -> Row {
        Row::new(symbols, name, source, Definition::Uom(read))
    }

    /// A unit with its published definition.
    pub(super) const fn exact(
        symbols: &'static [&'static str],
        name: &'static str,
        size: Size,
        dimension: Dimension,
        source: &'static str,
    ) -> Row {
        Row::new(
            symbols,
            name,
            source,
            Definition::Exact(size, dimension, 0.0),
        )
    }

    /// A revolution: an angle of 2π, counted where it stands over a time alone.
    pub(in crate::quantity) const fn revolution(
        symbols: &'static [&'static str],
        source: &'static str,
    ) -> Row {
        let turn = Size {
            numerator: std::f64::consts::TAU,
            denominator: 1.0,
        };
        Row::exact(symbols, "revolution", turn, Dimension::none(), source).marked(Mark::Revolution)
    }

    /// It is printed otherwise than it is typed.
    pub(super) const fn printed_as(self, printed: &'static str) -> Row {
        Row { printed, ..self }
    }

    /// It takes SI prefixes.
    pub(super) const fn prefixed(self) -> Row {
        Row {
            prefixed: true,
            ..self
        }
    }

    /// Its size is no quotient of whole numbers, but this.
    pub(super) const fn closed(self, closed: &'static str) -> Row {
        Row {
            closed: Some(closed),
            ..self
        }
    }

    /// How it reads its number.
    pub(super) const fn marked(self, mark: Mark) -> Row {
        Row { mark, ..self }
    }

    /// It belongs to the SI, or is used with it.
    pub(super) const fn si(self) -> Row {
        Row {
            family: Some(Family::Si),
            ..self
        }
    }

    /// It is a US customary unit.
    pub(super) const fn us(self) -> Row {
        Row {
            family: Some(Family::Us),
            ..self
        }
    }

    /// It counts from a datum of its own.
    pub(super) const fn counted_from(self, offset: f64) -> Row {
        let definition = match self.definition {
            Definition::Exact(size, dimension, _) => Definition::Exact(size, dimension, offset),
            Definition::Uom(read) => Definition::Uom(read),
        };
        Row { definition, ..self }
    }
}

/// A part of a size as it is published: `16129π`, `ln(10)`, `745.69987158227022`.
fn read_closed(part: &str) -> Precise {
    if let Some(inner) = part.strip_prefix("ln(").and_then(|it| it.strip_suffix(')')) {
        return Precise::call(Function::Ln, &[read_closed(inner)]);
    }
    let (number, circle) = match part.strip_suffix('π') {
        Some(number) => (number, Precise::pi()),
        None => (part, Precise::whole(1)),
    };
    let number = match number {
        "" => Some(Precise::whole(1)),
        number => precise::decimal(number).map(Precise::rational),
    };
    number.map_or(Precise::unknown(), |number| number.times(&circle))
}

/// Reads a unit of `uom` through its own traits.
pub(super) fn read<D, U>() -> Measure
where
    D: uom::si::Dimension + ?Sized,
    U: Conversion<f64, T = f64>,
{
    Measure {
        size: Size::from_number(U::coefficient()),
        dimension: Dimension::from_integers([
            D::L::I32,
            D::M::I32,
            D::T::I32,
            D::I::I32,
            D::Th::I32,
            D::N::I32,
            D::J::I32,
        ]),
        offset: U::constant(uom::ConstantOp::Add),
    }
}

/// A row whose size and dimension are those of a unit of `uom`, named by quantity and unit.
macro_rules! from_uom {
    ($symbols:expr, $name:literal, $quantity:ident :: $unit:ident, $source:literal) => {
        $crate::quantity::registry::row::Row::uom(
            $symbols,
            $name,
            $source,
            $crate::quantity::registry::row::read::<
                uom::si::$quantity::Dimension,
                uom::si::$quantity::$unit,
            >,
        )
    };
}
pub(super) use from_uom;
