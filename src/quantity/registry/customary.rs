//! The customary units of the trades: each defined once, exactly, as a product of the defining
//! constants, with its published definition beside it.
//!
//! The defining constants: the international yard and pound agreement of 1959 (1 yd = 0.9144 m,
//! 1 lb = 0.453 592 37 kg), standard gravity 9.806 65 m/s² (3rd CGPM, 1901), the US gallon of
//! 231 in³ (NIST Handbook 44, appendix C), the International Table calorie of 4.1868 J. "NIST
//! SP 811" stands for the 2008 edition, appendix B; its rounded factors agree with these
//! definitions.

use super::row::Row;
use super::size::{Size, ratio, whole};
use crate::quantity::{Dimension, Mark};

const LENGTH: Dimension = Dimension::length();
const MASS: Dimension = Dimension::mass();
const TEMPERATURE: Dimension = Dimension::temperature();
const AREA: Dimension = Dimension::from_integers([2, 0, 0, 0, 0, 0, 0]);
const VOLUME: Dimension = Dimension::from_integers([3, 0, 0, 0, 0, 0, 0]);
const VELOCITY: Dimension = Dimension::from_integers([1, 0, -1, 0, 0, 0, 0]);
const ACCELERATION: Dimension = Dimension::from_integers([1, 0, -2, 0, 0, 0, 0]);
const FLOW: Dimension = Dimension::from_integers([3, 0, -1, 0, 0, 0, 0]);
const FORCE: Dimension = Dimension::from_integers([1, 1, -2, 0, 0, 0, 0]);
const LINE_LOAD: Dimension = Dimension::from_integers([0, 1, -2, 0, 0, 0, 0]);
const PRESSURE: Dimension = Dimension::pressure();
const ENERGY: Dimension = Dimension::from_integers([2, 1, -2, 0, 0, 0, 0]);
const EXPOSURE: Dimension = Dimension::from_integers([0, 1, -2, 0, 0, 0, 0]);
const POWER: Dimension = Dimension::from_integers([2, 1, -3, 0, 0, 0, 0]);
const VISCOSITY: Dimension = Dimension::from_integers([-1, 1, -1, 0, 0, 0, 0]);
const ILLUMINANCE: Dimension = Dimension::from_integers([-2, 0, 0, 0, 0, 0, 1]);

const INCH: Size = ratio(254.0, 1e4);
const FOOT: Size = ratio(3048.0, 1e4);
const YARD: Size = ratio(9144.0, 1e4);
const MILE: Size = ratio(1_609_344.0, 1e3);
const SURVEY_FOOT: Size = ratio(1200.0, 3937.0);
const SQUARE_INCH: Size = INCH.times(INCH);
const SQUARE_FOOT: Size = FOOT.times(FOOT);
const CUBIC_INCH: Size = SQUARE_INCH.times(INCH);
const CUBIC_FOOT: Size = SQUARE_FOOT.times(FOOT);
const GALLON: Size = whole(231.0).times(CUBIC_INCH);
const IMPERIAL_GALLON: Size = ratio(454_609.0, 1e8);
const POUND: Size = ratio(45_359_237.0, 1e8);
const GRAVITY: Size = ratio(980_665.0, 1e5);
const POUND_FORCE: Size = POUND.times(GRAVITY);
const PSI: Size = POUND_FORCE.over(SQUARE_INCH);
const MINUTE: Size = whole(60.0);
const HOUR: Size = whole(3600.0);
const DAY: Size = whole(86_400.0);
/// 4.1868 J/(g K) times a pound and a degree Fahrenheit: 4186.8 × 0.453 592 37 × 5/9 J.
const BTU: Size = ratio(105_505_585_262.0, 1e8);
/// Conventional mercury, 13 595.1 kg/m³, under standard gravity, a metre high.
const MERCURY: Size = ratio(135_951.0, 10.0).times(GRAVITY);
/// Conventional water, 1000 kg/m³, under standard gravity, a metre high.
const WATER: Size = whole(1000.0).times(GRAVITY);
const MILLIMETRE: Size = ratio(1.0, 1000.0);
const CENTIMETRE: Size = ratio(1.0, 100.0);

/// The rows, by subject.
#[rustfmt::skip] // one row a line
pub(super) const ROWS: &[Row] = &[
    // Length.
    Row::exact(&["in"], "inch", INCH, LENGTH, "2.54 cm, yard and pound agreement 1959").us(),
    Row::exact(&["ft"], "foot", FOOT, LENGTH, "12 in").us(),
    Row::exact(&["yd"], "yard", YARD, LENGTH, "0.9144 m, yard and pound agreement 1959").us(),
    Row::exact(&["mi"], "mile", MILE, LENGTH, "5280 ft").us(),
    Row::exact(&["thou"], "thousandth of an inch", INCH.over(whole(1e3)), LENGTH, "0.001 in").us(),
    Row::exact(&["uin", "µin", "μin"], "microinch", INCH.over(whole(1e6)), LENGTH, "1e-6 in").printed_as("µin").us(),
    Row::exact(&["nmi"], "nautical mile", whole(1852.0), LENGTH, "1852 m, NIST SP 811"),
    Row::exact(&["fathom"], "fathom", whole(6.0).times(FOOT), LENGTH, "6 ft").us(),
    Row::exact(&["rod"], "rod", ratio(33.0, 2.0).times(FOOT), LENGTH, "16.5 ft, NIST Handbook 44 app. C").us(),
    Row::exact(&["chain"], "chain", whole(66.0).times(FOOT), LENGTH, "66 ft, NIST Handbook 44 app. C").us(),
    Row::exact(&["furlong"], "furlong", whole(660.0).times(FOOT), LENGTH, "10 chains, NIST Handbook 44 app. C").us(),
    Row::exact(&["ftUS"], "US survey foot", SURVEY_FOOT, LENGTH, "1200/3937 m, NIST SP 811").us(),
    Row::exact(&["fathomUS"], "US survey fathom", whole(6.0).times(SURVEY_FOOT), LENGTH, "6 ftUS, NIST SP 811").us(),
    Row::exact(&["rodUS"], "US survey rod", ratio(33.0, 2.0).times(SURVEY_FOOT), LENGTH, "16.5 ftUS, NIST SP 811").us(),
    Row::exact(&["chainUS"], "US survey chain", whole(66.0).times(SURVEY_FOOT), LENGTH, "66 ftUS, NIST SP 811").us(),
    Row::exact(&["furlongUS"], "US survey furlong", whole(660.0).times(SURVEY_FOOT), LENGTH, "10 chainUS").us(),
    Row::exact(&["point"], "computer point", INCH.over(whole(72.0)), LENGTH, "1/72 in, NIST SP 811").us(),
    Row::exact(&["pica"], "computer pica", INCH.over(whole(6.0)), LENGTH, "1/6 in, NIST SP 811").us(),
    // Area.
    Row::exact(&["acre", "ac"], "acre", whole(43_560.0).times(SQUARE_FOOT), AREA, "43 560 ft²").us(),
    Row::exact(&["acreUS"], "US survey acre", whole(43_560.0).times(SURVEY_FOOT).times(SURVEY_FOOT), AREA, "43 560 ftUS², NIST SP 811").us(),
    Row::exact(&["cmil"], "circular mil", CIRCULAR_MIL, AREA, "π/4 × (0.001 in)²").us().closed("16129π/100000000000000"),
    Row::exact(&["kcmil"], "thousand circular mils", whole(1e3).times(CIRCULAR_MIL), AREA, "1000 circular mils").us().closed("16129π/100000000000"),
    // Volume.
    Row::exact(&["gal"], "US gallon", GALLON, VOLUME, "231 in³, NIST Handbook 44 app. C").us(),
    Row::exact(&["kgal"], "thousand US gallons", whole(1e3).times(GALLON), VOLUME, "1000 gal").us(),
    Row::exact(&["Mgal"], "million US gallons", whole(1e6).times(GALLON), VOLUME, "10⁶ gal").us(),
    Row::exact(&["scf"], "standard cubic foot", CUBIC_FOOT, VOLUME, "1 ft³, of gas at the standard conditions of whoever states it").us(),
    Row::exact(&["qt"], "US liquid quart", GALLON.over(whole(4.0)), VOLUME, "1/4 gal").us(),
    Row::exact(&["pt"], "US liquid pint", GALLON.over(whole(8.0)), VOLUME, "1/8 gal").us(),
    Row::exact(&["cup"], "US cup", GALLON.over(whole(16.0)), VOLUME, "1/16 gal").us(),
    Row::exact(&["floz"], "US fluid ounce", GALLON.over(whole(128.0)), VOLUME, "1/128 gal").printed_as("fl\u{a0}oz").us(),
    Row::exact(&["tbsp"], "US tablespoon", GALLON.over(whole(256.0)), VOLUME, "1/256 gal").us(),
    Row::exact(&["tsp"], "US teaspoon", GALLON.over(whole(768.0)), VOLUME, "1/768 gal").us(),
    Row::exact(&["bbl"], "oil barrel", whole(42.0).times(GALLON), VOLUME, "42 gal, NIST SP 811").us(),
    Row::exact(&["bu"], "US bushel", ratio(215_042.0, 100.0).times(CUBIC_INCH), VOLUME, "2150.42 in³, NIST Handbook 44 app. C").us(),
    Row::exact(&["cord"], "cord", whole(128.0).times(CUBIC_FOOT), VOLUME, "128 ft³").us(),
    Row::exact(&["regton"], "register ton", whole(100.0).times(CUBIC_FOOT), VOLUME, "100 ft³").us(),
    Row::exact(&["galUK"], "imperial gallon", IMPERIAL_GALLON, VOLUME, "4.546 09 L, NIST SP 811"),
    Row::exact(&["flozUK"], "imperial fluid ounce", IMPERIAL_GALLON.over(whole(160.0)), VOLUME, "1/160 galUK"),
    // Mass.
    Row::exact(&["lb", "lbs"], "pound", POUND, MASS, "0.453 592 37 kg, yard and pound agreement 1959").us(),
    Row::exact(&["lbm"], "pound", POUND, MASS, "1 lb").us(),
    Row::exact(&["oz"], "ounce", POUND.over(whole(16.0)), MASS, "1/16 lb").us(),
    Row::exact(&["gr"], "grain", POUND.over(whole(7000.0)), MASS, "1/7000 lb").us(),
    Row::exact(&["ozt"], "troy ounce", whole(480.0).times(POUND.over(whole(7000.0))), MASS, "480 gr").us(),
    Row::exact(&["dwt"], "pennyweight", whole(24.0).times(POUND.over(whole(7000.0))), MASS, "24 gr").us(),
    Row::exact(&["slug"], "slug", POUND_FORCE.over(FOOT), MASS, "1 lbf s²/ft").us(),
    Row::exact(&["stone"], "stone", whole(14.0).times(POUND), MASS, "14 lb"),
    Row::exact(&["tonUS"], "short ton", whole(2000.0).times(POUND), MASS, "2000 lb").us(),
    Row::exact(&["tonUK"], "long ton", whole(2240.0).times(POUND), MASS, "2240 lb").us(),
    Row::exact(&["cwtUS"], "short hundredweight", whole(100.0).times(POUND), MASS, "100 lb").us(),
    Row::exact(&["cwtUK"], "long hundredweight", whole(112.0).times(POUND), MASS, "112 lb").us(),
    // Speed and acceleration.
    Row::exact(&["mph"], "mile per hour", MILE.over(HOUR), VELOCITY, "1 mi/h").us(),
    Row::exact(&["fpm"], "foot per minute", FOOT.over(MINUTE), VELOCITY, "1 ft/min").us(),
    Row::exact(&["knot", "kn"], "knot", whole(1852.0).over(HOUR), VELOCITY, "1 nmi/h"),
    Row::exact(&["gn"], "standard gravity", GRAVITY, ACCELERATION, "9.806 65 m/s², 3rd CGPM 1901").printed_as("gₙ"),
    // Volume flow rate.
    Row::exact(&["cfs"], "cubic foot per second", CUBIC_FOOT, FLOW, "1 ft³/s").us(),
    Row::exact(&["cfm"], "cubic foot per minute", CUBIC_FOOT.over(MINUTE), FLOW, "1 ft³/min").us(),
    Row::exact(&["scfm"], "standard cubic foot per minute", CUBIC_FOOT.over(MINUTE), FLOW, "1 scf/min").us(),
    Row::exact(&["gpm"], "US gallon per minute", GALLON.over(MINUTE), FLOW, "1 gal/min").us(),
    Row::exact(&["gph"], "US gallon per hour", GALLON.over(HOUR), FLOW, "1 gal/h").us(),
    Row::exact(&["gpd"], "US gallon per day", GALLON.over(DAY), FLOW, "1 gal/d").us(),
    Row::exact(&["MGD", "mgd"], "million US gallons per day", whole(1e6).times(GALLON).over(DAY), FLOW, "10⁶ gal/d").us(),
    // Force.
    Row::exact(&["lbf"], "pound-force", POUND_FORCE, FORCE, "1 lb × 9.806 65 m/s²").us(),
    Row::exact(&["ozf"], "ounce-force", POUND_FORCE.over(whole(16.0)), FORCE, "1/16 lbf").us(),
    Row::exact(&["kip", "kips"], "kip", whole(1e3).times(POUND_FORCE), FORCE, "1000 lbf").us(),
    Row::exact(&["tonf"], "short ton-force", whole(2e3).times(POUND_FORCE), FORCE, "2000 lbf").us(),
    Row::exact(&["pdl"], "poundal", POUND.times(FOOT), FORCE, "1 lb ft/s²").us(),
    Row::exact(&["plf"], "pound-force per foot", POUND_FORCE.over(FOOT), LINE_LOAD, "1 lbf/ft").us(),
    Row::exact(&["klf"], "kip per foot", whole(1e3).times(POUND_FORCE).over(FOOT), LINE_LOAD, "1 kip/ft").us(),
    // Pressure.
    Row::exact(&["psi"], "pound-force per square inch", PSI, PRESSURE, "1 lbf/in²").us(),
    Row::exact(&["psig"], "pound-force per square inch gauge", PSI, PRESSURE, "1 lbf/in² above the atmosphere").marked(Mark::Gauge).us(),
    Row::exact(&["psia"], "pound-force per square inch absolute", PSI, PRESSURE, "1 lbf/in² above vacuum").marked(Mark::Absolute).us(),
    Row::exact(&["ksi"], "kip per square inch", whole(1e3).times(PSI), PRESSURE, "1000 lbf/in²").us(),
    Row::exact(&["Mpsi"], "million pounds-force per square inch", whole(1e6).times(PSI), PRESSURE, "10⁶ lbf/in²").us(),
    Row::exact(&["psf"], "pound-force per square foot", POUND_FORCE.over(SQUARE_FOOT), PRESSURE, "1 lbf/ft²").us(),
    Row::exact(&["ksf"], "kip per square foot", whole(1e3).times(POUND_FORCE).over(SQUARE_FOOT), PRESSURE, "1000 lbf/ft²").us(),
    Row::exact(&["mmHg"], "millimetre of mercury", MERCURY.times(MILLIMETRE), PRESSURE, "13 595.1 kg/m³ × 9.806 65 m/s² × 1 mm, conventional"),
    Row::exact(&["cmHg"], "centimetre of mercury", MERCURY.times(CENTIMETRE), PRESSURE, "10 mmHg, conventional"),
    Row::exact(&["inHg"], "inch of mercury", MERCURY.times(INCH), PRESSURE, "25.4 mmHg, conventional").us(),
    Row::exact(&["ftHg"], "foot of mercury", MERCURY.times(FOOT), PRESSURE, "12 inHg, conventional").us(),
    Row::exact(&["mmH2O"], "millimetre of water", WATER.times(MILLIMETRE), PRESSURE, "1000 kg/m³ × 9.806 65 m/s² × 1 mm, conventional").printed_as("mmH₂O"),
    Row::exact(&["cmH2O"], "centimetre of water", WATER.times(CENTIMETRE), PRESSURE, "10 mmH2O, conventional").printed_as("cmH₂O"),
    Row::exact(&["mH2O"], "metre of water", WATER, PRESSURE, "1000 mmH2O, conventional").printed_as("mH₂O"),
    Row::exact(&["inH2O", "inWC"], "inch of water", WATER.times(INCH), PRESSURE, "25.4 mmH2O, conventional").printed_as("inH₂O").us(),
    Row::exact(&["ftH2O", "ftWC"], "foot of water", WATER.times(FOOT), PRESSURE, "12 inH2O, conventional").printed_as("ftH₂O").us(),
    Row::exact(&["Torr", "torr"], "torr", ratio(101_325.0, 760.0), PRESSURE, "1/760 atm, NIST SP 811").prefixed(),
    // Energy and power.
    Row::exact(&["BTU", "Btu"], "British thermal unit (International Table)", BTU, ENERGY, "4186.8 J/(kg K) × 1 lb × 1 degF, NIST SP 811").printed_as("Btu").us(),
    Row::exact(&["BTUth", "Btuth"], "British thermal unit (thermochemical)", THERMOCHEMICAL_BTU, ENERGY, "4184 J/(kg K) × 1 lb × 1 degF, NIST SP 811").printed_as("Btuₜₕ").us(),
    Row::exact(&["MBH"], "thousand BTU per hour", whole(1e3).times(BTU).over(HOUR), POWER, "1000 Btu/h").us(),
    Row::exact(&["MMBTU", "MMBtu"], "million BTU", whole(1e6).times(BTU), ENERGY, "10⁶ Btu").printed_as("MMBtu").us(),
    Row::exact(&["therm"], "therm", whole(1e5).times(BTU), ENERGY, "10⁵ Btu").us(),
    Row::exact(&["thermUS"], "therm (US)", whole(105_480_400.0), ENERGY, "1.054 804 × 10⁸ J, NIST SP 811").us(),
    Row::exact(&["quad"], "quad", whole(1e15).times(BTU), ENERGY, "10¹⁵ Btu").us(),
    Row::exact(&["hp"], "horsepower", whole(550.0).times(FOOT).times(POUND_FORCE), POWER, "550 ft lbf/s").us().closed("745.69987158227022"),
    Row::exact(&["PS"], "metric horsepower", whole(75.0).times(GRAVITY), POWER, "75 kgf m/s").si(),
    Row::exact(&["hpS"], "boiler horsepower", ratio(98_095.0, 10.0), POWER, "9809.50 W, NIST SP 811").printed_as("hp(S)").us(),
    Row::exact(&["hpE"], "electric horsepower", whole(746.0), POWER, "746 W, NIST SP 811").printed_as("hp(E)").us(),
    Row::exact(&["TR"], "ton of refrigeration", whole(12e3).times(BTU).over(HOUR), POWER, "12 000 Btu/h, NIST SP 811").us(),
    Row::exact(&["langley"], "langley", ratio(4184.0, 1e3).over(CENTIMETRE.times(CENTIMETRE)), EXPOSURE, "1 calth/cm², NIST SP 811"),
    // Viscosity.
    Row::exact(&["reyn"], "reyn", PSI, VISCOSITY, "1 lbf s/in²").us(),
    // Illuminance.
    Row::exact(&["footcandle", "fc"], "footcandle", Size::ONE.over(SQUARE_FOOT), ILLUMINANCE, "1 lm/ft², NIST SP 811").us(),
    // Temperature.
    Row::exact(&["degF", "°F", "℉"], "degree Fahrenheit", ratio(5.0, 9.0), TEMPERATURE, "5/9 K, counted from 459.67 degF below").counted_from(459.67).printed_as("°F").marked(Mark::Point).us(),
    Row::exact(&["degR", "°R", "R"], "degree Rankine", ratio(5.0, 9.0), TEMPERATURE, "5/9 K").printed_as("°R").us(),
    // Angle.
    Row::exact(&["milNATO"], "angular mil", ratio(std::f64::consts::TAU, 6400.0), Dimension::none(), "1/6400 of a turn, NIST SP 811").printed_as("mil").marked(Mark::Radians).closed("π/3200"),
];

const CIRCULAR_MIL: Size = ratio(std::f64::consts::PI, 4e6).times(SQUARE_INCH);
/// 4184 × 0.453 592 37 × 5/9 J.
const THERMOCHEMICAL_BTU: Size = whole(4184.0).times(POUND).times(ratio(5.0, 9.0));

#[cfg(test)]
mod tests {
    use crate::quantity::registry::row::read;
    use crate::quantity::{Unit, list};

    /// The roundings of `uom`, which keeps at most seven figures of most customary units, and
    /// three to six of the columns of water and mercury.
    const ROUNDED: f64 = 5e-6;

    macro_rules! pairs {
        ($($symbol:literal $quantity:ident :: $unit:ident,)*) => {
            [$(($symbol, read::<uom::si::$quantity::Dimension, uom::si::$quantity::$unit>()),)*]
        };
    }

    #[test]
    fn exact_definitions_agree_with_the_rounded_ones_of_uom() {
        let pairs = pairs! {
            "in" length::inch, "ft" length::foot, "yd" length::yard, "mi" length::mile,
            "thou" length::mil, "uin" length::microinch, "nmi" length::nautical_mile,
            "fathomUS" length::fathom, "ftUS" length::foot_survey, "rodUS" length::rod,
            "point" length::point_computer, "pica" length::pica_computer, "ly" length::light_year,
            "acreUS" area::acre, "cmil" area::circular_mil,
            "gal" volume::gallon, "qt" volume::quart_liquid, "pt" volume::pint_liquid,
            "cup" volume::cup, "floz" volume::fluid_ounce, "tbsp" volume::tablespoon,
            "tsp" volume::teaspoon, "bbl" volume::barrel, "bu" volume::bushel,
            "cord" volume::cord, "regton" volume::register_ton, "galUK" volume::gallon_imperial,
            "flozUK" volume::fluid_ounce_imperial,
            "lb" mass::pound, "oz" mass::ounce, "gr" mass::grain, "ozt" mass::ounce_troy,
            "dwt" mass::pennyweight, "slug" mass::slug, "tonUS" mass::ton_short,
            "tonUK" mass::ton_long, "cwtUS" mass::hundredweight_short,
            "cwtUK" mass::hundredweight_long,
            "mph" velocity::mile_per_hour, "fpm" velocity::foot_per_minute,
            "knot" velocity::knot, "gn" acceleration::standard_gravity,
            "cfs" volume_rate::cubic_foot_per_second, "cfm" volume_rate::cubic_foot_per_minute,
            "gpm" volume_rate::gallon_per_minute, "gpd" volume_rate::gallon_per_day,
            "lbf" force::pound_force, "ozf" force::ounce_force, "kip" force::kip,
            "tonf" force::ton_force, "pdl" force::poundal,
            "psi" pressure::psi, "ksi" pressure::kip_per_square_inch,
            "psf" pressure::pound_force_per_square_foot, "mmHg" pressure::millimeter_of_mercury,
            "inHg" pressure::inch_of_mercury, "ftHg" pressure::foot_of_mercury,
            "mmH2O" pressure::millimeter_of_water, "inH2O" pressure::inch_of_water,
            "ftH2O" pressure::foot_of_water, "Torr" pressure::torr,
            "BTU" energy::btu_it, "BTUth" energy::btu, "thermUS" energy::therm_us,
            "therm" energy::therm_ec, "quad" energy::quad, "Wh" energy::watt_hour,
            "hp" power::horsepower, "PS" power::horsepower_metric,
            "hpS" power::horsepower_boiler, "hpE" power::horsepower_electric,
            "reyn" dynamic_viscosity::reyn,
            "degF" thermodynamic_temperature::degree_fahrenheit,
            "degR" thermodynamic_temperature::degree_rankine,
            "milNATO" angle::mil, "yr365" time::year,
        };
        for (symbol, theirs) in pairs {
            let row = list().find(|row| row.symbol() == symbol).expect(symbol);
            assert_eq!(row.dimension(), theirs.dimension, "{symbol}");
            assert_eq!(row.offset(), theirs.offset, "{symbol}");
            let ratio = row.factor() / theirs.size.number();
            assert!((ratio - 1.0).abs() < ROUNDED, "{symbol}: {ratio}");
        }
    }

    #[test]
    fn units_that_are_products_of_others_are_the_same_number() {
        let pairs = [
            ("psi", "lbf/in^2"),
            ("psf", "lbf/ft^2"),
            ("ksi", "kip/in^2"),
            ("ksf", "kip/ft^2"),
            ("lbf", "slug ft/s^2"),
            ("pdl", "lb ft/s^2"),
            ("lbf", "lb gn"),
            ("cfs", "ft^3/s"),
            ("cfm", "ft^3/min"),
            ("gpm", "gal/min"),
            ("mph", "mi/h"),
            ("knot", "nmi/h"),
            ("scfm", "scf/min"),
            ("scf", "ft^3"),
            ("footcandle", "lm/ft^2"),
            ("fc", "lm/ft^2"),
            ("Gal", "cm/s^2"),
            ("plf", "lbf/ft"),
            ("reyn", "lbf s/in^2"),
            ("kWh", "kW h"),
            ("Ah", "A h"),
            ("N", "kg m/s^2"),
            ("Pa s", "kg/(m s)"),
            ("bar", "daN/cm^2"),
            ("cSt", "mm^2/s"),
            ("L", "dm^3"),
        ];
        for (one, other) in pairs {
            let other = Unit::from_source(other).expect(other);
            let one = Unit::from_source(one).expect(one);
            let ratio = one.factor() / other.factor();
            assert_eq!(one.dimension(), other.dimension(), "{}", one.source());
            assert!((ratio - 1.0).abs() < 1e-15, "{}: {ratio}", one.source());
        }
    }
}
