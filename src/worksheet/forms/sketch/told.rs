//! What the sign of a magnitude means on the page, in words.

use super::reading::Reading;
use crate::mechanics::{Action, Device, Direction, Id, Motion, Sign, Turn};
use crate::resolve::statement::{Act, ActOf, Mark};
use crate::syntax::{ActKind, SketchKind, SupportKind};
use crate::worksheet::model::{Phrase, Said};

/// What a quantity of a sketch is the magnitude of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Role {
    /// Of what acts, by its number.
    Act(usize),
    /// Of heat or power, by its number.
    Exchange(usize),
    /// Of how it moves or turns.
    Motion,
    /// Of a head, by the number of the device.
    Device(usize),
}

impl Reading<'_> {
    /// What a quantity is the magnitude of, in the order of the lines.
    pub(super) fn roles(&self, id: Id) -> Vec<Role> {
        let acts = self.of.body.actions.iter().enumerate();
        let acts = acts.filter(|(_, action)| magnitudes(action).contains(&Some(id)));
        let mut found: Vec<Role> = acts.map(|(at, _)| Role::Act(at)).collect();
        if let Some(flows) = &self.of.flows {
            let volume = &flows.volume;
            let exchanges = volume.exchanges.iter().enumerate();
            let exchanges = exchanges.filter(|(_, it)| it.of == id);
            found.extend(exchanges.map(|(at, _)| Role::Exchange(at)));
            if matches!(volume.motion, Motion::Moves { speed, .. } | Motion::Turns { speed, .. } if speed == id)
            {
                found.push(Role::Motion);
            }
            let devices = volume.devices.iter().enumerate();
            let devices = devices.filter(|(_, (_, head))| *head == id);
            found.extend(devices.map(|(at, _)| Role::Device(at)));
        }
        found
    }

    /// What acts in a role.
    pub(super) fn action(&self, role: Role) -> Option<&Action> {
        match role {
            Role::Act(at) => self.of.body.actions.get(at),
            Role::Exchange(_) | Role::Motion | Role::Device(_) => None,
        }
    }

    /// "to the left": which way it is where it has this sign; nothing for what has no way.
    pub(super) fn way(&self, role: Role, is_back: bool) -> Option<Phrase> {
        match role {
            Role::Act(at) => {
                let (action, act) = (self.of.body.actions.get(at)?, self.of.acts.get(at)?);
                if act.kind == ActOf::Force(ActKind::Bar) {
                    let words = if is_back {
                        "in compression"
                    } else {
                        "in tension"
                    };
                    return Some(Phrase::words(words));
                }
                match action {
                    Action::Force { direction, .. } | Action::Accelerates { direction, .. } => {
                        self.direction(direction, act.mark, act.is_away, is_back)
                    }
                    Action::Couple { turn, .. } | Action::Turns { turn, .. } => {
                        Some(Phrase::words(turned(*turn, is_back)))
                    }
                    Action::Load { lies, .. } => {
                        let direction = match lies {
                            crate::mechanics::Load::PerLength(direction)
                            | crate::mechanics::Load::PerLevelLength(direction) => direction,
                            crate::mechanics::Load::Square { .. } => return None,
                        };
                        self.direction(direction, act.mark, false, is_back)
                    }
                    Action::Water(_) => None,
                }
            }
            Role::Exchange(at) => {
                let exchange = self.of.flows.as_ref()?.volume.exchanges.get(at)?;
                let words = if exchange.is_in == is_back {
                    "out"
                } else {
                    "in"
                };
                Some(Phrase::words(words))
            }
            Role::Motion => match &self.of.flows.as_ref()?.volume.motion {
                Motion::Moves { direction, .. } => {
                    let mark = self
                        .of
                        .flows
                        .as_ref()?
                        .motion
                        .map_or(Mark::Words, |it| it.1);
                    self.direction(direction, mark, false, is_back)
                }
                Motion::Turns { turn, .. } => Some(Phrase::words(turned(*turn, is_back))),
                Motion::Still => None,
            },
            Role::Device(_) => None,
        }
    }

    /// What a magnitude below zero says under the figure.
    pub(super) fn below_zero(&self, role: Role) -> Phrase {
        let way = self.way(role, true);
        let opposite = |verb: &str| match way.clone() {
            Some(way) => way.between(&format!("{verb} "), ", opposite to the sketch"),
            None => Phrase::words(format!("{verb} opposite to the sketch")),
        };
        match role {
            Role::Act(at) => {
                let (Some(action), Some(act)) =
                    (self.of.body.actions.get(at), self.of.acts.get(at))
                else {
                    return Phrase::default();
                };
                match self.pulls(act) {
                    Some(Pulls::Support) if points_up(action) => {
                        return Phrase::words("would have to hold the body down: it lifts off");
                    }
                    Some(Pulls::Support) => {
                        return Phrase::words("would have to pull: the body lifts off");
                    }
                    Some(Pulls::Cable) => {
                        return Phrase::words("would have to push: the cable is slack");
                    }
                    None => {}
                }
                match action {
                    _ if act.kind == ActOf::Force(ActKind::Bar) => Phrase::words(format!(
                        "pushes on the {}; the bar is in compression",
                        self.body_called()
                    )),
                    Action::Force { .. } => {
                        let words = opposite("acts");
                        match self.link_pushes(at, act) {
                            Some(true) => words.between("", ": it pulls"),
                            Some(false) => words.between("", ": it pushes"),
                            None => words,
                        }
                    }
                    Action::Accelerates { .. } => opposite("points"),
                    Action::Couple { .. } | Action::Turns { .. } => opposite("turns"),
                    Action::Load { .. } | Action::Water(_) => opposite("acts"),
                }
            }
            Role::Exchange(at) => {
                let flows = self.of.flows.as_ref();
                let is_in = flows
                    .and_then(|it| it.volume.exchanges.get(at))
                    .is_some_and(|it| it.is_in);
                Phrase::words(match is_in {
                    true => "goes out, opposite to the sketch",
                    false => "comes in, opposite to the sketch",
                })
            }
            Role::Motion => match self.of.flows.as_ref().map(|it| &it.volume.motion) {
                Some(Motion::Turns { .. }) => opposite("turns"),
                _ => opposite("moves"),
            },
            Role::Device(at) => {
                let flows = self.of.flows.as_ref();
                let device = flows
                    .and_then(|it| it.volume.devices.get(at))
                    .map(|it| it.0);
                Phrase::words(match device {
                    Some(Device::Pump) | None => "takes head out, as a turbine",
                    Some(Device::Turbine) => "adds head, as a pump",
                    Some(Device::Loss) => "adds head, which a loss cannot",
                })
            }
        }
    }

    /// What a magnitude of zero says.
    pub(super) fn zero(&self, role: Role) -> Phrase {
        Phrase::words(match role {
            Role::Act(at) => match self.of.body.actions.get(at) {
                Some(Action::Force { .. }) => "no force acts there",
                Some(Action::Couple { .. }) => "no moment acts there",
                Some(Action::Accelerates { .. } | Action::Turns { .. }) => "it does not accelerate",
                Some(Action::Load { .. } | Action::Water(_)) | None => "no load acts there",
            },
            Role::Exchange(_) => "nothing passes there",
            Role::Motion => "it is still",
            Role::Device(_) => "no head is added or taken",
        })
    }

    /// A direction as it was written, or turned.
    pub(super) fn direction(
        &self,
        direction: &Direction,
        mark: Mark,
        is_away: bool,
        is_back: bool,
    ) -> Option<Phrase> {
        if direction.is_square_to_the_page() {
            return Some(Phrase::words(match is_away == is_back {
                true => "toward the reader",
                false => "away from the reader",
            }));
        }
        let formula = |id: Id| Some(Said::Formula(self.of.quantities.get(id)?.clone()));
        let words = |words: &str| Said::Words(words.to_owned());
        match mark {
            Mark::Words => {
                if let Some(quarters) = direction.quarters_from(&Direction::right()) {
                    let back = if is_back { 2 } else { 0 };
                    let ways = ["to the right", "up", "to the left", "down"];
                    return Some(Phrase::words(ways[usize::from((quarters + back) % 4)]));
                }
                let (up, _) = self.of.block.as_ref()?;
                let quarters = direction.quarters_from(up)?;
                let is_away = if up.goes_left() { 3 } else { 1 };
                Some(Phrase::words(match (quarters, is_back) {
                    (0, false) | (2, true) => "up the incline",
                    (2, false) | (0, true) => "down the incline",
                    (other, false) if other == is_away => "away from the incline",
                    (other, true) if other != is_away => "away from the incline",
                    _ => "into the incline",
                }))
            }
            Mark::Angle { from: None, angle } => {
                let before = if is_back { "opposite to " } else { "at " };
                Some(Phrase(vec![
                    words(before),
                    formula(angle)?,
                    words(" from x"),
                ]))
            }
            Mark::Angle {
                from: Some(from),
                angle,
            } => {
                let plus = Direction::turned(from, vec![(Sign::Plus, angle)]);
                let toward = match direction.quarters_from(&plus) {
                    Some(_) => from + 1,
                    None => from + 3,
                };
                let back = if is_back { 2 } else { 0 };
                let (from, toward) = ((from + back) % 4, (toward + back) % 4);
                let names = ["right", "up", "left", "down"];
                let turned = match from % 2 {
                    0 => {
                        let side = if toward == 1 { "above" } else { "below" };
                        format!(" {side} {}", names[usize::from(from)])
                    }
                    _ => format!(
                        " {} of {}",
                        names[usize::from(toward)],
                        names[usize::from(from)]
                    ),
                };
                Some(Phrase(vec![words("at "), formula(angle)?, words(&turned)]))
            }
            Mark::Slope { rise, run } => {
                let is_rising = |rises: &bool| {
                    let to_the_right = Direction::slope(*rises, true, rise, run);
                    matches!(direction.quarters_from(&to_the_right), Some(0 | 2))
                };
                let rises = [true, false].into_iter().find(is_rising)?;
                let to_the_right = Direction::slope(rises, true, rise, run);
                let is_left = direction.quarters_from(&to_the_right) == Some(2);
                // What goes the other way along a rise falls.
                let (is_left, rises) = (is_left != is_back, rises != (is_left != is_back));
                let before = if rises { "rising " } else { "falling " };
                let side = if is_left { " left" } else { " right" };
                Some(Phrase(vec![
                    words(before),
                    formula(rise)?,
                    words(" in "),
                    formula(run)?,
                    words(side),
                ]))
            }
            Mark::Place { is_toward, place } => {
                let name = self.of.places.get(place)?;
                let before = if is_toward == is_back {
                    "away from"
                } else {
                    "toward"
                };
                Some(Phrase::words(format!("{before} {}", name.text)))
            }
        }
    }

    /// What something cannot do that comes out below zero.
    pub(super) fn pulls(&self, act: &Act) -> Option<Pulls> {
        match act.kind {
            ActOf::Force(ActKind::Normal) => Some(Pulls::Support),
            ActOf::Force(ActKind::Cable) => Some(Pulls::Cable),
            ActOf::Support(number) => match self.of.supports.get(number)?.0 {
                SupportKind::Roller | SupportKind::Smooth => Some(Pulls::Support),
                SupportKind::Rough => {
                    let mut all = self.of.acts.iter();
                    let first = all.find(|it| it.kind == ActOf::Support(number));
                    (first == Some(act)).then_some(Pulls::Support)
                }
                SupportKind::Pin | SupportKind::Fixed | SupportKind::Hinge | SupportKind::Link => {
                    None
                }
            },
            ActOf::Force(ActKind::Force | ActKind::Bar | ActKind::Friction | ActKind::Weight)
            | ActOf::Moment
            | ActOf::Load
            | ActOf::Water
            | ActOf::Acceleration => None,
        }
    }

    /// Whether a link, as it is drawn, pushes on the body; nothing for what is no link.
    fn link_pushes(&self, at: usize, act: &Act) -> Option<bool> {
        let ActOf::Support(number) = act.kind else {
            return None;
        };
        let (kind, place) = self.of.supports.get(number)?;
        let Some(Action::Force { direction, .. }) = self.of.body.actions.get(at) else {
            return None;
        };
        if *kind != SupportKind::Link {
            return None;
        }
        // It is drawn behind its force, but where the body is there.
        Some(!self.lies_behind(*place, direction))
    }

    /// Whether a member goes from a place against a direction.
    fn lies_behind(&self, place: usize, direction: &Direction) -> bool {
        /// Within this angle of it, as its cosine.
        const ON: f64 = 0.97;
        let value = |id: Id| self.value(id).unwrap_or(f64::NAN);
        let Some(angle) = direction.radians(&value) else {
            return false;
        };
        let goes = |from: usize, to: usize| {
            let places = &self.of.body.places;
            let way = places.get(from).zip(places.get(to));
            let [x, y] = way
                .map(|(from, to)| from.to(to).on_the_page())?
                .map(|it| it.value(&value));
            let length = x.hypot(y);
            (length > 0.0).then_some((x * angle.cos() + y * angle.sin()) / length)
        };
        self.of.members.iter().any(|(_, [from, to])| {
            let ways = [(*from, *to), (*to, *from)];
            let own = ways.into_iter().filter(|(start, _)| *start == place);
            own.filter_map(|(from, to)| goes(from, to))
                .any(|cosine| cosine < -ON)
        })
    }

    fn body_called(&self) -> &'static str {
        match self.of.kind {
            SketchKind::Body => "body",
            SketchKind::Particle => "joint",
            SketchKind::ControlVolume(_) => "control volume",
            SketchKind::AtRest => "fluid",
        }
    }
}

/// What cannot pull, or cannot push.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Pulls {
    /// A surface, a roller: it only pushes.
    Support,
    /// A cable: it only pulls.
    Cable,
}

/// The magnitudes of what acts.
pub(super) fn magnitudes(action: &Action) -> [Option<Id>; 2] {
    match action {
        Action::Load { ends, .. } => *ends,
        Action::Force { .. }
        | Action::Couple { .. }
        | Action::Accelerates { .. }
        | Action::Turns { .. }
        | Action::Water(_) => [action.magnitude(), None],
    }
}

fn points_up(action: &Action) -> bool {
    let up = |direction: &Direction| direction.quarters_from(&Direction::up()) == Some(0);
    matches!(action, Action::Force { direction, .. } if up(direction))
}

fn turned(turn: Turn, is_back: bool) -> &'static str {
    match (turn, is_back) {
        (Turn::Clockwise, false) | (Turn::Anticlockwise, true) => "clockwise",
        (Turn::Anticlockwise, false) | (Turn::Clockwise, true) => "anticlockwise",
    }
}
