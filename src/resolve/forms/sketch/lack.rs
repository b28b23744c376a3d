//! What a balance needs and the sketch has not, in words.

use super::super::super::Resolver;
use super::Sketch;
use crate::diagnostic::Code;
use crate::mechanics::{Hindrance, Lack, Wanted};
use crate::text::Span;

impl Resolver<'_> {
    /// What a balance needs and the sketch has not.
    pub(in crate::resolve) fn refuse_lack(&mut self, sketch: &Sketch, lack: Lack, span: Span) {
        match lack {
            Lack::Place(at) => self.no_place(sketch, at, span),
            Lack::Section(at, wanted) => self.wanted(sketch, at, wanted, span),
            Lack::None(hindrance) => {
                let (code, message, help) = hindered(sketch, hindrance);
                self.refuse_sketch(code, span, message, help);
            }
        }
    }

    fn no_place(&mut self, sketch: &Sketch, at: usize, span: Span) {
        let Some(act) = sketch.acts.get(at) else {
            return;
        };
        let written = act.span.of(self.text);
        let line = self.line_number(act.span);
        self.refuse_sketch(
            Code::G12,
            span,
            format!("where `{written}` acts is not said (line {line}), and moments need it"),
            format!(
                "`{} {written} … at A`, with the name of a place",
                act.called
            ),
        );
    }

    fn wanted(&mut self, sketch: &Sketch, at: usize, wanted: Wanted, span: Span) {
        let found = sketch.flows.as_ref().and_then(|flows| {
            let section = flows.volume.sections.get(at)?;
            Some((flows.sections.get(at)?, section))
        });
        let Some((said, section)) = found else {
            return;
        };
        let called = said.called(section);
        let line = self.line_number(said.line);
        let (code, message, help) = match wanted {
            Wanted::Place => (
                Code::G30,
                format!("where {called} is, is not said"),
                format!("`{called} flow … at A`, with the name of a place"),
            ),
            Wanted::Flow => (
                Code::G22,
                format!("the flow of {called} is not said"),
                "`speed` with `area`, `mass flow` or `volume flow`".to_owned(),
            ),
            Wanted::Speed => (
                Code::G10,
                format!("how fast it flows at {called} is not said"),
                "`speed`, or `area` beside its flow".to_owned(),
            ),
            Wanted::Area => (
                Code::G10,
                format!("{called} has a pressure and no area"),
                "`area` or `diameter`".to_owned(),
            ),
            Wanted::Width => (
                Code::G10,
                format!("{called} has a depth and no width"),
                "`, width b`".to_owned(),
            ),
            Wanted::Density => (
                Code::G10,
                format!("the density at {called} is not said"),
                "a line `density rho`, or `density` at the section".to_owned(),
            ),
            Wanted::OneDensity => (
                Code::G10,
                format!("{called} has another density, so that volumes do not add up"),
                format!("`balance mass of {}`", sketch.label),
            ),
            Wanted::SameDensity => (
                Code::G10,
                format!("{called} has another density, and heads are those of one fluid"),
                "one density; momentum and energy hold for several".to_owned(),
            ),
            Wanted::Gravity => (
                Code::G10,
                format!("how strong gravity is, is not said, and {called} needs it"),
                "a line `gravity g`".to_owned(),
            ),
            Wanted::HeatCapacity => (
                Code::G10,
                format!("{called} has a temperature and no heat capacity"),
                "a line `heat capacity c`, or `heat capacity` at the section".to_owned(),
            ),
            Wanted::Substance => (
                Code::G10,
                format!("{called} has a pressure: of a liquid or a gas?"),
                "a line `liquid` or `gas`, or `enthalpy`, which has the pressure in it".to_owned(),
            ),
            Wanted::Temperature => (
                Code::G10,
                format!("the temperature at {called} is not said"),
                "`temperature`".to_owned(),
            ),
            Wanted::Enthalpy => (
                Code::G10,
                format!(
                    "{called} has no enthalpy, and others have: temperatures count from another zero"
                ),
                "`enthalpy`".to_owned(),
            ),
            Wanted::Content => (
                Code::G10,
                format!("the content at {called} is not said"),
                "`content x`, `content 0` or `content 1`".to_owned(),
            ),
        };
        self.refuse_sketch(code, span, format!("{message} (line {line})"), help);
    }
}

fn hindered(sketch: &Sketch, hindrance: Hindrance) -> (Code, String, String) {
    let label = &sketch.label;
    let (code, message, help) = match hindrance {
        Hindrance::Turns => (
            Code::G11,
            "it turns, so that what is inside changes its direction all the time",
            format!("`balance moments about … of {label}`, about its axis"),
        ),
        Hindrance::TurnsElsewhere => (
            Code::G11,
            "it turns about another place, and its moments hold about that",
            "the place that it turns about".to_owned(),
        ),
        Hindrance::MomentumGathers => (
            Code::G11,
            "momentum gathers, and where in it is not said",
            format!("`balance x of {label}` or `balance y of {label}`"),
        ),
        Hindrance::MassGathers => (
            Code::G10,
            "mass gathers, and how much of the substance with it is not said",
            format!("`balance mass of {label}`, and the equation without `by`"),
        ),
        Hindrance::EnergyGathers => (
            Code::G10,
            "mass gathers, and how much energy with it is not said",
            "a line `accumulation of energy …`".to_owned(),
        ),
        Hindrance::Accelerates => (
            Code::G11,
            "it accelerates, so that its energy depends on who sees it",
            format!("`balance x of {label}` or `balance y of {label}`"),
        ),
        Hindrance::PowerMoves => (
            Code::G11,
            "it moves, so that power through its boundary depends on who sees it",
            "the sketch without `moves`, or without `power`".to_owned(),
        ),
        Hindrance::NoColumns => (
            Code::G11,
            "pressure along columns is balanced in a fluid at rest",
            format!("a sketch `{label}: fluid at rest`"),
        ),
        Hindrance::AtRest => (
            Code::G11,
            "a fluid at rest has the balance of pressure alone",
            format!("`balance pressure of {label}`"),
        ),
        Hindrance::Stations => (
            Code::G11,
            "it is told by stations along a stream, which have heads alone",
            format!("`balance heads from … to … of {label}`; or `inlet` and `outlet` lines"),
        ),
        Hindrance::HeadsMove => (
            Code::G11,
            "it moves, or something gathers in it, and heads are those of a steady stream",
            format!("`balance energy of {label}`"),
        ),
        Hindrance::SeveralWays => (
            Code::G11,
            "heads are those along one stream, and several come in or go out",
            "a sketch for each way".to_owned(),
        ),
        Hindrance::Wheel => (
            Code::G34,
            "the sketch has a wheel and accelerates, and does not say whether the wheel turns",
            "`accelerates alpha clockwise, moment of inertia J`".to_owned(),
        ),
        Hindrance::NoFlow => (
            Code::G11,
            "nothing flows through it",
            format!("`balance x of {label}`, `y` or `moments about …`"),
        ),
    };
    (code, message.to_owned(), help)
}
