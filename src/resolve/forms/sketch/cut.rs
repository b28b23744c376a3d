//! `inlet 1 flow right, area A_1, open`: what is said of a section, and what may stand together.

use super::super::super::{ExprKind, Resolver};
use super::{Draft, SectionSaid};
use crate::diagnostic::Code;
use crate::mechanics::{Amount, Id, Opening, Part, Pressure, Rate, Section, Speed};
use crate::syntax::{Attribute, Course, Cut, Expr, ExprKind as Written, Said, Word};
use crate::text::Span;

/// What is said of a section, and where.
pub(super) fn places(said: &[Said]) -> Vec<(Attribute, Span)> {
    said.iter().map(|it| (it.what, it.place())).collect()
}

impl Draft {
    /// A section, and where it is said.
    pub(super) fn keep_section(&mut self, section: Section, said: SectionSaid) -> Option<()> {
        let flows = self.sketch.flows.as_mut()?;
        let number = flows.volume.sections.len();
        flows.volume.sections.push(section);
        flows.volume.order.push(Part::Section(number));
        flows.sections.push(said);
        Some(())
    }
}

impl Resolver<'_> {
    /// A section with all that its line says.
    pub(super) fn cut_of_sketch(&mut self, draft: &mut Draft, line: Span, cut: &Cut) -> Option<()> {
        self.one_way_of_telling(draft, line, false)?;
        self.only_section(draft, &cut.name)?;
        let at = self.place_if_any(draft, cut.at.as_ref())?;
        let (flow, mark) = self.direction(draft, &cut.flow, at)?;
        let mut section = Section {
            at,
            ..Section::new(cut.is_inlet, flow)
        };
        let width = self.width(draft, cut)?;
        for (number, said) in cut.said.iter().enumerate() {
            self.not_said_before(&cut.said[..number], said, &cut.name.text)?;
            self.said_of_section(draft, &mut section, said, width)?;
        }
        let said = SectionSaid {
            name: cut.name.clone(),
            line,
            mark,
            is_away: matches!(cut.flow.course, Course::Reader { is_toward: false }),
            said: places(&cut.said),
        };
        draft.keep_section(section, said)
    }

    pub(super) fn only_section(&mut self, draft: &Draft, name: &Word) -> Option<()> {
        let flows = draft.sketch.flows.as_ref()?;
        let same = flows.sections.iter().find(|it| it.name.text == name.text);
        let Some(same) = same else {
            return Some(());
        };
        let line = self.line_number(same.name.span);
        self.refuse_sketch(
            Code::G19,
            name.span,
            format!("`{}` is a section already, in line {line}", name.text),
            "another number for one of them".to_owned(),
        );
        None
    }

    /// The width of a depth, which may stand before it or behind.
    fn width(&mut self, draft: &mut Draft, cut: &Cut) -> Option<Option<Id>> {
        let of = |what: Attribute| cut.said.iter().find(|said| said.what == what);
        let Some(width) = of(Attribute::Width) else {
            return Some(None);
        };
        if of(Attribute::Depth).is_none() {
            self.refuse_sketch(
                Code::G10,
                width.span,
                format!("section {} has a width and no depth", cut.name.text),
                "`depth y`, or `area` for a closed section".to_owned(),
            );
            return None;
        }
        let value = width.value.as_ref()?;
        self.magnitude(draft, value).map(Some)
    }

    /// What cannot stand beside what was said before of the same section.
    pub(super) fn not_said_before(
        &mut self,
        before: &[Said],
        said: &Said,
        name: &str,
    ) -> Option<()> {
        let Some(other) = before.iter().find(|it| exclude(it.what, said.what)) else {
            return Some(());
        };
        let (one, two) = (other.what.words(), said.what.words());
        let is_open_depth = matches!(
            (other.what, said.what),
            (Attribute::Depth, Attribute::Open) | (Attribute::Open, Attribute::Depth)
        );
        let (message, help) = if one == two {
            (
                format!("section {name} says `{one}` twice"),
                "one of them".to_owned(),
            )
        } else if is_open_depth {
            (
                format!(
                    "section {name} has a depth, over which pressure grows, and is open all over"
                ),
                "`depth` without `open`; a free fall is `area b*y, open`".to_owned(),
            )
        } else {
            (
                format!(
                    "section {name} has `{one}` and `{two}`, which say the same or exclude each other"
                ),
                "one of them".to_owned(),
            )
        };
        self.refuse_sketch(Code::G04, said.span, message, help);
        None
    }

    pub(super) fn said_of_section(
        &mut self,
        draft: &mut Draft,
        section: &mut Section,
        said: &Said,
        width: Option<Id>,
    ) -> Option<()> {
        let Some(value) = &said.value else {
            section.pressure = Pressure::Open;
            return Some(());
        };
        match said.what {
            // An open section has no formula.
            Attribute::Open => {}
            Attribute::Area => {
                section.opening = Some(Opening::Area(self.magnitude(draft, value)?));
            }
            Attribute::Diameter => {
                section.opening = Some(Opening::Diameter(self.magnitude(draft, value)?));
            }
            Attribute::Depth => {
                section.opening = Some(Opening::Depth(self.magnitude(draft, value)?, width));
            }
            // It was read with the depth.
            Attribute::Width => {}
            Attribute::Speed { is_relative } => {
                let of = self.magnitude(draft, value)?;
                section.speed = Some(Speed { of, is_relative });
            }
            Attribute::MassFlow { .. } => {
                section.rate = Some(Rate::Mass(self.magnitude(draft, value)?));
            }
            Attribute::VolumeFlow { .. } => {
                section.rate = Some(Rate::Volume(self.magnitude(draft, value)?));
            }
            Attribute::Pressure => {
                section.pressure = Pressure::Of(self.signed(draft, value)?);
            }
            Attribute::Density => section.density = Some(self.magnitude(draft, value)?),
            Attribute::Level => section.level = Some(self.amount(draft, value, false)?),
            Attribute::Temperature => section.temperature = Some(self.signed(draft, value)?),
            Attribute::Enthalpy => section.enthalpy = Some(self.amount(draft, value, false)?),
            Attribute::HeatCapacity => {
                section.heat_capacity = Some(self.magnitude(draft, value)?);
            }
            Attribute::Content => section.content = Some(self.amount(draft, value, true)?),
        }
        Some(())
    }

    /// A magnitude that may be 0, or 1 where a share is meant.
    fn amount(&mut self, draft: &mut Draft, of: &Expr, may_be_one: bool) -> Option<Amount> {
        if let Written::Number(number) = &of.kind {
            if number.value == 0.0 {
                return Some(Amount::Zero);
            }
            if may_be_one && number.value == 1.0 {
                return Some(Amount::One);
            }
        }
        match may_be_one {
            true => self.magnitude(draft, of).map(Amount::Of),
            false => self.signed(draft, of).map(Amount::Of),
        }
    }

    /// A quantity that no direction gives a sign to, so that it may have a minus of its own.
    pub(super) fn signed(&mut self, draft: &mut Draft, of: &Expr) -> Option<Id> {
        let expr = self.expr(of)?;
        let text = of.span.of(self.text);
        let inner = match &expr.inside().kind {
            ExprKind::Negative(inner) => inner.inside(),
            _ => expr.inside(),
        };
        if super::is_plain_number(inner) {
            self.refuse_sketch(
                Code::G14,
                of.span,
                format!("`{text}` is a number, and data belong in `given`"),
                "a name, which has its value in `given`".to_owned(),
            );
            return None;
        }
        self.one_number(&expr, text, of.span)?;
        Some(draft.quantity(text, expr))
    }
}

/// Whether two things cannot be said of one section.
fn exclude(one: Attribute, other: Attribute) -> bool {
    let class = |what: Attribute| match what {
        Attribute::Area | Attribute::Diameter | Attribute::Depth => 1,
        Attribute::MassFlow { .. } | Attribute::VolumeFlow { .. } => 2,
        Attribute::Speed { .. } => 3,
        Attribute::Open | Attribute::Pressure => 4,
        Attribute::Temperature | Attribute::Enthalpy => 5,
        Attribute::Width => 6,
        Attribute::Density => 7,
        Attribute::Level => 8,
        Attribute::HeatCapacity => 9,
        Attribute::Content => 10,
    };
    let pressure_of_a_depth =
        |a, b| a == Attribute::Depth && matches!(b, Attribute::Open | Attribute::Pressure);
    class(one) == class(other) || pressure_of_a_depth(one, other) || pressure_of_a_depth(other, one)
}
