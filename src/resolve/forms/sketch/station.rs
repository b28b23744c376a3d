//! `surface 1 level z_1`, `pump h_p`: what stands along a stream, in the order of the lines.

use super::super::super::Resolver;
use super::cut::places;
use super::{Draft, Mark, SectionSaid};
use crate::diagnostic::Code;
use crate::mechanics::{Device, Direction, Part, Pressure, Section, Station};
use crate::syntax::{self, Attribute, DeviceKind, StationLine};
use crate::text::Span;

impl Resolver<'_> {
    /// A section along a stream with all that its line says.
    pub(super) fn station_of_sketch(
        &mut self,
        draft: &mut Draft,
        line: Span,
        station: &StationLine,
    ) -> Option<()> {
        self.one_way_of_telling(draft, line, true)?;
        self.only_section(draft, &station.name)?;
        let mut section = Section {
            station: Some(match station.is_surface {
                true => Station::Surface,
                false => Station::Pipe,
            }),
            ..Section::new(false, Direction::right())
        };
        for (number, said) in station.said.iter().enumerate() {
            self.fits_a_station(station, said)?;
            self.not_said_before(&station.said[..number], said, &station.name.text)?;
            self.said_of_section(draft, &mut section, said, None)?;
        }
        let said = SectionSaid {
            name: station.name.clone(),
            line,
            mark: Mark::Words,
            is_away: false,
            said: places(&station.said),
        };
        draft.keep_section(section, said)
    }

    /// A surface is wide, and a station has no depth and no relative flow.
    fn fits_a_station(&mut self, station: &StationLine, said: &syntax::Said) -> Option<()> {
        let word = said.what.words();
        let (message, help) = match said.what {
            Attribute::Open | Attribute::Pressure | Attribute::Level | Attribute::Density => {
                return Some(());
            }
            Attribute::Area
            | Attribute::Diameter
            | Attribute::Speed { is_relative: false }
            | Attribute::MassFlow { is_relative: false }
            | Attribute::VolumeFlow { is_relative: false }
                if !station.is_surface =>
            {
                return Some(());
            }
            Attribute::Area
            | Attribute::Diameter
            | Attribute::Speed { is_relative: false }
            | Attribute::MassFlow { is_relative: false }
            | Attribute::VolumeFlow { is_relative: false } => (
                format!("a surface is wide: nothing moves there, and it has no `{word}`"),
                format!("`section {} …`", station.name.text),
            ),
            Attribute::Depth
            | Attribute::Width
            | Attribute::Temperature
            | Attribute::Enthalpy
            | Attribute::HeatCapacity
            | Attribute::Content
            | Attribute::Speed { is_relative: true }
            | Attribute::MassFlow { is_relative: true }
            | Attribute::VolumeFlow { is_relative: true } => (
                format!(
                    "a {} has no `{word}`: heads are of pressure, speed and level",
                    station.word()
                ),
                "`pressure`, `speed`, `level`, `area` or `diameter`; or an `inlet` and an `outlet`"
                    .to_owned(),
            ),
        };
        self.refuse_sketch(Code::G31, said.span, message, help);
        None
    }

    /// Sections are told by cuts or by stations.
    pub(super) fn one_way_of_telling(
        &mut self,
        draft: &Draft,
        line: Span,
        is_station: bool,
    ) -> Option<()> {
        let flows = draft.sketch.flows.as_ref()?;
        let is_other = |it: &Section| it.station.is_some() != is_station;
        if !flows.volume.sections.iter().any(is_other) {
            return Some(());
        }
        self.refuse_sketch(
            Code::G31,
            line,
            "a sketch has cuts (`inlet`, `outlet`) or stations (`surface`, `section`), not both"
                .to_owned(),
            "one kind of them, or two sketches".to_owned(),
        );
        None
    }

    /// `pump h_p`, between the lines that it stands between.
    pub(super) fn device_of_sketch(
        &mut self,
        draft: &mut Draft,
        kind: DeviceKind,
        head: &syntax::Expr,
    ) -> Option<()> {
        let id = self.magnitude(draft, head)?;
        let device = match kind {
            DeviceKind::Pump => Device::Pump,
            DeviceKind::Turbine => Device::Turbine,
            DeviceKind::Loss => Device::Loss,
        };
        let flows = draft.sketch.flows.as_mut()?;
        let number = flows.volume.devices.len();
        flows.volume.devices.push((device, id));
        flows.volume.order.push(Part::Device(number));
        flows.devices.push(head.span);
        Some(())
    }

    /// From where the pressures along stations count: from the atmosphere where one of them is open
    /// to it, else from where the author has them.
    pub(super) fn datum_of_stations(draft: &mut Draft) {
        let Some(flows) = &draft.sketch.flows else {
            return;
        };
        let stations = || {
            flows
                .volume
                .sections
                .iter()
                .filter(|it| it.station.is_some())
        };
        let pressures = stations().filter_map(|it| match it.pressure {
            Pressure::Of(pressure) => Some(pressure),
            Pressure::Open | Pressure::Unsaid => None,
        });
        let pressures: Vec<_> = pressures.collect();
        let is_open = stations().any(|it| match it.pressure {
            Pressure::Open => true,
            Pressure::Unsaid => it.station == Some(Station::Surface),
            Pressure::Of(_) => false,
        });
        match flows.volume.medium.surroundings {
            Some(around) if stations().next().is_some() => {
                draft.sketch.absolute.extend(pressures);
                draft.sketch.absolute.push(around);
            }
            None if is_open => draft.sketch.gauge.extend(pressures),
            _ => {}
        }
    }
}
