//! Symbols that are refused because a reader could hold more than one reading.

/// What a symbol could mean, as an author can type each reading.
pub(in crate::quantity) fn readings(symbol: &str) -> Option<&'static str> {
    REFUSED
        .iter()
        .find(|(refused, _)| *refused == symbol)
        .map(|(_, readings)| *readings)
}

static REFUSED: &[(&str, &str)] = &[
    ("Cal", "`kcalIT` or `kcalth`"),
    ("M", "`mol/L`; as a prefix it stands for a million"),
    (
        "cal",
        "`calIT` (International Table, 4.1868 J) or `calth` (thermochemical, 4.184 J)",
    ),
    ("cwt", "`cwtshort` (100 lb) or `cwtlong` (112 lb)"),
    (
        "kcal",
        "`kcalIT` (International Table) or `kcalth` (thermochemical)",
    ),
    ("mil", "`thou` (0.001 in) or `angmil` (1/6400 of a turn)"),
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
        "`shortton` (2000 lb), `longton` (2240 lb), `t` (1000 kg), `tonf` (2000 lbf) or `TR` (of refrigeration)",
    ),
    (
        "tons",
        "`shortton`, `longton`, `t`, `tonf` or `TR` (of refrigeration)",
    ),
    ("year", "`yrJulian` (365.25 d) or `yr365` (365 d)"),
    ("yr", "`yrJulian` (365.25 d) or `yr365` (365 d)"),
];
