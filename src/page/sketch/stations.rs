//! A way along pipes for its drawing: stations, pumps, turbines and losses in their order.

use super::Drawing;
use crate::drawing::sketch::{Height, Station};
use crate::mechanics::{self, Amount, Device, Part, Pressure, Section};
use crate::resolve::statement::{Flows, SectionSaid};
use crate::typeset::Run;

impl Drawing<'_> {
    pub(super) fn stations(&self, flows: &Flows) -> Vec<Station> {
        let part = |part: &Part| match part {
            Part::Section(number) => {
                let section = flows.volume.sections.get(*number)?;
                Some(self.station(section, flows.sections.get(*number)?))
            }
            Part::Device(number) => {
                let (device, head) = flows.volume.devices.get(*number)?;
                let label = self.magnitude(*head);
                // What takes head out is a turbine.
                Some(match (device, self.is_back(*head)) {
                    (Device::Pump, false) | (Device::Turbine, true) => Station::Pump(label),
                    (Device::Turbine, false) | (Device::Pump, true) => Station::Turbine(label),
                    (Device::Loss, _) => Station::Loss(label),
                })
            }
            Part::Action(_) | Part::Gathered(_) | Part::Exchange(_) => None,
        };
        flows.volume.order.iter().filter_map(part).collect()
    }

    fn station(&self, section: &Section, said: &SectionSaid) -> Station {
        let name = said.name.text.to_string();
        let level = self.height(section);
        let pressure = match section.pressure {
            Pressure::Of(pressure) => self.magnitude(pressure),
            Pressure::Open | Pressure::Unsaid => Vec::new(),
        };
        match section.station {
            Some(mechanics::Station::Pipe) => Station::Section {
                name,
                level,
                said: (section
                    .speed
                    .map(|speed| self.magnitude(speed.of))
                    .into_iter())
                .chain([pressure])
                .filter(|label| !label.is_empty())
                .collect(),
            },
            Some(mechanics::Station::Surface) | None => Station::Surface {
                name,
                level,
                pressure,
            },
        }
    }

    /// A level of 0 is the datum itself, and has no name; what has no level is as high as what is
    /// before it.
    fn height(&self, section: &Section) -> Height {
        match section.level {
            Some(Amount::Of(level)) => Height {
                height: self.length(level),
                label: self.runs(level),
            },
            Some(Amount::Zero | Amount::One) => Height {
                height: 0.0,
                label: Vec::new(),
            },
            None => Height {
                height: f64::NAN,
                label: Vec::new(),
            },
        }
    }

    /// What is lost within a control volume.
    pub(super) fn losses(&self, flows: &Flows) -> Vec<Vec<Run>> {
        let losses = flows.volume.devices.iter();
        losses.map(|(_, head)| self.runs(*head)).collect()
    }
}
