//! The lines that a sketch may have: the order of their parts, and the kinds of sketch that have
//! them.
//!
//! What is refused in a sketch of another kind, what an editor offers at a place, and which words
//! of a line are names of places read these rows. The grammar has the same lines; laws below hold
//! one against the other.

use std::sync::OnceLock;

use super::super::super::order::{Followed, Order};
use super::super::super::tokens;
use super::ColumnWay;
use super::cut;
use super::line::{ActKind, Sketch, SketchKind};
use super::volume::{self, MediumKind};

/// A line that a sketch may have.
#[derive(Debug)]
pub struct SketchForm {
    kinds: u8,
    order: &'static str,
}

const BODY: u8 = 1;
const PARTICLE: u8 = 2;
const VOLUME: u8 = 4;
const REST: u8 = 8;
const ALL: u8 = BODY | PARTICLE | VOLUME | REST;

/// The kinds with the words that open them, as messages name them.
const KINDS: [(u8, &str); 4] = [
    (BODY, "body"),
    (PARTICLE, "particle"),
    (VOLUME, "control volume"),
    (REST, "fluid at rest"),
];

/// What a sketch may be of.
const HEAD: &str = "( body | particle | fluid at rest | control volume [ around ( a | an ) $shape ] | $label as found )";

macro_rules! forms {
    ($($name:ident $kinds:expr, $order:literal;)*) => {
        $(static $name: SketchForm = SketchForm { kinds: $kinds, order: $order };)*
        static FORMS: &[&SketchForm] = &[$(&$name,)*];
    };
}

forms! {
    FORCE BODY | PARTICLE | VOLUME, "( force | cable | bar | friction ) $formula $direction [ at $place ] $opposite";
    WEIGHT BODY | PARTICLE | VOLUME, "weight $formula [ at $place ]";
    NORMAL BODY | PARTICLE, "normal $formula [ $direction ] [ at $place ] $opposite";
    POINT BODY | VOLUME, "point $newplace [ = ( middle of $place to $place | $formula $direction { , $formula $direction } from $place ) ]";
    SUPPORT BODY, "( pin | roller | fixed | smooth | rough | hinge | link ) at $place with $reaction { , $reaction } [ , opposite to $label ]";
    LOAD BODY, "load $formula [ to $formula ] ( $direction from $place to $place [ , ( per length | per level length ) ] | on $place to $place from $side )";
    MOMENT BODY | VOLUME, "moment $formula $turn at $place $opposite";
    MEMBER BODY, "( beam | bar | plate | rope ) $place to $place";
    OUTLINE BODY, "outline $place to $place to $place to $place { to $place }";
    BLOCK BODY, "block on ( floor | incline $direction )";
    WHEEL BODY, "wheel at $place , radius $formula";
    WATER BODY, "water $formula on $place to $place from $side , surface ( at $place | $formula above $place ) [ , pressure $formula ] [ , width $formula ]";
    CUT VOLUME, "( inlet | outlet ) $newsection flow $direction [ at $place ] { , $said }";
    STATION VOLUME, "( surface | section ) $newsection [ $said { , $said } ]";
    DEVICE VOLUME, "( pump | turbine | loss ) $formula";
    RATE VOLUME, "( heat | power ) $formula ( in | out ) $opposite";
    GATHERED VOLUME, "accumulation of ( ( mass | energy ) $formula | momentum $formula $direction )";
    MOVES VOLUME, "moves $formula $direction";
    ROTATES VOLUME, "turns $formula $turn about $place";
    MEDIUM VOLUME, "( density $formula | heat capacity $formula )";
    SUBSTANCE VOLUME, "( liquid | gas )";
    END REST, "( from | to ) $newplace , ( open | pressure $formula )";
    COLUMN REST, "( ( down | up ) $formula | along $formula $direction ) in $formula";
    GRAVITY BODY | VOLUME | REST, "gravity $formula";
    SURROUNDINGS VOLUME | REST, "surroundings $formula";
    AXES BODY | PARTICLE | VOLUME, "axes x $direction , y $direction";
    FROM_ABOVE BODY | PARTICLE | VOLUME, "view from above";
    NEGLECTED BODY | PARTICLE | VOLUME, "weight neglected";
    ACCELERATES BODY | PARTICLE | VOLUME, "accelerates $formula $direction , mass $formula [ at $place ]";
    TURNING BODY, "accelerates $formula $turn , moment of inertia $formula";
    CLOCKWISE BODY | VOLUME, "moments clockwise";
    LEVEL BODY | VOLUME, "level $formula at $place";
    DIMENSION BODY | VOLUME, "dimension $formula from $place to $place";
    REMOVED BODY, "supports removed";
    NO_DIMENSIONS ALL, "no dimensions";
    SHOW ALL, "show ( numbers | symbols )";
    SCALE ALL, "scale $amount = $amount";
}

/// The parts that are made of others.
const PARTS: [(&str, &str); 5] = [
    (
        "$direction",
        "( right | left | up | down \
         | at $formula ( above right | above left | below right | below left | right of up | left of up \
         | right of down | left of down | from x ) \
         | ( rising | falling ) $formula in $formula ( right | left ) \
         | up the incline | down the incline | away from the incline \
         | toward $place | away from $place | toward the reader | away from the reader )",
    ),
    ("$turn", "( clockwise | anticlockwise )"),
    ("$side", "( left | right | above | below )"),
    ("$reaction", "$formula ( $direction | $turn )"),
    ("$opposite", "[ , opposite to $formula of $label ]"),
];

fn part(word: &str) -> Option<String> {
    let known = PARTS.iter().find(|(name, _)| *name == word);
    match word {
        "$said" => Some(cut::order()),
        "$shape" => Some(volume::order()),
        _ => known.map(|(_, order)| (*order).to_owned()),
    }
}

pub(super) fn orders() -> &'static [(u8, Order)] {
    static ORDERS: OnceLock<Vec<(u8, Order)>> = OnceLock::new();
    ORDERS.get_or_init(|| {
        let order = |form: &&SketchForm| (form.kinds, Order::new(form.order, &part));
        FORMS.iter().map(order).collect()
    })
}

/// What the first line of a sketch is, without its label.
pub fn sketch_head(body: &str) -> Followed<'static> {
    static HEADS: OnceLock<Order> = OnceLock::new();
    HEADS.get_or_init(|| Order::new(HEAD, &part)).follow(body)
}

/// What a line of a sketch is, or the beginning of one. `first` is the first line of the sketch:
/// where it says no kind, the lines of all kinds may follow.
pub fn sketch_line(first: &str, body: &str) -> Followed<'static> {
    let first = first.trim_start();
    let label = tokens::label(first).map_or(0, |label| label.len() + 1);
    let said = first[label..].trim_start();
    let found = KINDS.iter().find(|(_, words)| {
        let mut said = said.split_whitespace();
        words.split(' ').all(|word| said.next() == Some(word))
    });
    let kinds = found.map_or(ALL, |(kind, _)| *kind);
    let orders = orders().iter().filter(|(own, _)| own & kinds != 0);
    let all = orders.map(|(_, order)| order.follow(body));
    all.fold(Followed::default(), Followed::or)
}

impl SketchForm {
    /// Whether a sketch of a kind has such lines.
    pub fn is_of(&self, kind: SketchKind) -> bool {
        let own = match kind {
            SketchKind::Body => BODY,
            SketchKind::Particle => PARTICLE,
            SketchKind::ControlVolume(_) => VOLUME,
            SketchKind::AtRest => REST,
        };
        self.kinds & own != 0
    }

    /// The kinds that have such lines, in words.
    pub fn kinds(&self) -> impl Iterator<Item = &'static str> {
        let has = self.kinds;
        let own = KINDS.iter().filter(move |(kind, _)| has & kind != 0);
        own.map(|(_, words)| *words)
    }
}

impl Sketch {
    /// What such a line is called in a message, and where it may stand; nothing of a first line.
    pub fn form(&self) -> Option<(&'static str, &'static SketchForm)> {
        Some(match self {
            Self::Head(_) | Self::AsFound(_) => return None,
            Self::Point(..) => ("point", &POINT),
            Self::Member(..) => ("beam", &MEMBER),
            Self::Outline(_) => ("outline", &OUTLINE),
            Self::Block(_) => ("block", &BLOCK),
            Self::Wheel(..) => ("wheel", &WHEEL),
            Self::Moment { .. } => ("moment", &MOMENT),
            Self::Load(_) => ("load", &LOAD),
            Self::Water(_) => ("water", &WATER),
            Self::Level(..) => ("level", &LEVEL),
            Self::Dimension(..) => ("dimension", &DIMENSION),
            Self::Support(support) => (support.kind.word(), &SUPPORT),
            Self::Clockwise => ("moments clockwise", &CLOCKWISE),
            Self::Turns { .. } => ("accelerates", &TURNING),
            Self::Accelerates { .. } => ("accelerates", &ACCELERATES),
            Self::SupportsRemoved => ("supports removed", &REMOVED),
            Self::Act(act) => match act.kind {
                ActKind::Normal => ("normal", &NORMAL),
                ActKind::Weight => ("weight", &WEIGHT),
                kind => (kind.word(), &FORCE),
            },
            Self::Cut(cut) => (if cut.is_inlet { "inlet" } else { "outlet" }, &CUT),
            Self::Rate { is_power, .. } => (if *is_power { "power" } else { "heat" }, &RATE),
            Self::Gathered(..) => ("accumulation", &GATHERED),
            Self::Moves(..) => ("moves", &MOVES),
            Self::Rotates { .. } => ("turns", &ROTATES),
            Self::Medium(kind @ MediumKind::Gravity, _) => (kind.words(), &GRAVITY),
            Self::Medium(kind @ MediumKind::Surroundings, _) => (kind.words(), &SURROUNDINGS),
            Self::Medium(kind, _) => (kind.words(), &MEDIUM),
            Self::Station(station) => (station.word(), &STATION),
            Self::Device(kind, _) => (kind.word(), &DEVICE),
            Self::End(end) => (if end.is_last { "to" } else { "from" }, &END),
            Self::Column(column) => match column.way {
                ColumnWay::Down => ("down", &COLUMN),
                ColumnWay::Up => ("up", &COLUMN),
                ColumnWay::Along(_) => ("along", &COLUMN),
            },
            Self::Substance { is_liquid } => {
                (if *is_liquid { "liquid" } else { "gas" }, &SUBSTANCE)
            }
            Self::Axes(_) => ("axes", &AXES),
            Self::FromAbove => ("view from above", &FROM_ABOVE),
            Self::WeightNeglected => ("weight neglected", &NEGLECTED),
            Self::NoDimensions => ("no dimensions", &NO_DIMENSIONS),
            Self::Show { .. } => ("show", &SHOW),
            Self::Scale(_) => ("scale", &SCALE),
        })
    }
}
