//! Symbols that are refused: a reader could hold more than one reading, or the trade has another
//! for the unit.

use super::PREFIXES;

/// What a symbol could mean, as an author can type each reading.
pub(in crate::quantity) fn readings(symbol: &str) -> Option<&'static str> {
    REFUSED
        .iter()
        .find(|(refused, _)| *refused == symbol)
        .map(|(_, readings)| *readings)
}

/// The symbol that the trade has for a unit that is typed otherwise, with its prefix.
pub(super) fn of_the_trade(symbol: &str) -> Option<String> {
    let exactly = |symbol: &str| {
        let found = SQUEEZED.iter().find(|(squeezed, _)| *squeezed == symbol);
        found.map(|(_, unit)| *unit)
    };
    let prefixed = || {
        PREFIXES.iter().find_map(|prefix| {
            let rest = symbol.strip_prefix(prefix.typed)?;
            (rest == TON_OF_TNT)
                .then(|| exactly(rest).map(|unit| format!("{}{unit}", prefix.typed)))?
        })
    };
    exactly(symbol).map(str::to_owned).or_else(prefixed)
}

/// Takes prefixes, as no other of them does.
const TON_OF_TNT: &str = "tonTNT";

/// Names squeezed into one word, and the symbols of the trade.
static SQUEEZED: &[(&str, &str)] = &[
    ("angmil", "milNATO"),
    ("cwtlong", "cwtUK"),
    ("cwtshort", "cwtUS"),
    ("hpboiler", "hpS"),
    ("hpelectric", "hpE"),
    ("hpmetric", "PS"),
    ("longton", "tonUK"),
    ("microin", "uin"),
    ("shortton", "tonUS"),
    (TON_OF_TNT, "tTNT"),
];

static REFUSED: &[(&str, &str)] = &[
    ("Cal", "`kcalIT` or `kcalth`"),
    ("M", "`mol/L`; as a prefix it stands for a million"),
    (
        "Mscf",
        "`1e3 scf` (a thousand, as the gas trade writes it) or `1e6 scf` (a million)",
    ),
    (
        "cal",
        "`calIT` (International Table, 4.1868 J) or `calth` (thermochemical, 4.184 J)",
    ),
    ("cwt", "`cwtUS` (100 lb) or `cwtUK` (112 lb)"),
    (
        "kcal",
        "`kcalIT` (International Table) or `kcalth` (thermochemical)",
    ),
    ("mil", "`thou` (0.001 in) or `milNATO` (1/6400 of a turn)"),
    (
        "pcf",
        "`lb/ft^3` (density) or `lbf/ft^3` (weight per volume)",
    ),
    (
        "pci",
        "`lb/in^3` (density) or `lbf/in^3` (weight per volume)",
    ),
    (
        "ton",
        "`tonUS` (2000 lb), `tonUK` (2240 lb), `t` (1000 kg), `tonf` (2000 lbf) or `TR` (of refrigeration)",
    ),
    (
        "tons",
        "`tonUS`, `tonUK`, `t`, `tonf` or `TR` (of refrigeration)",
    ),
    ("year", "`yrJulian` (365.25 d) or `yr365` (365 d)"),
    ("yr", "`yrJulian` (365.25 d) or `yr365` (365 d)"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::registry;

    #[test]
    fn a_squeezed_name_is_no_unit_and_leads_to_one() {
        for (squeezed, unit) in SQUEEZED {
            assert!(!registry::is_unit(squeezed), "{squeezed}");
            assert!(registry::is_unit(unit), "{unit}");
            assert_eq!(registry::nearest(squeezed).as_deref(), Some(*unit));
        }
        assert_eq!(registry::nearest("ktonTNT").as_deref(), Some("ktTNT"));
        assert_eq!(of_the_trade("kshortton"), None);
    }
}
