//! The SI prefixes.

/// An SI prefix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::quantity) struct Prefix {
    /// As it is typed.
    pub typed: &'static str,
    /// As it is printed.
    pub printed: &'static str,
    /// Its name.
    pub name: &'static str,
    /// The power of ten it stands for.
    pub power: i32,
}

const fn prefix(
    typed: &'static str,
    printed: &'static str,
    name: &'static str,
    power: i32,
) -> Prefix {
    Prefix {
        typed,
        printed,
        name,
        power,
    }
}

/// SI Brochure, 9th edition with the prefixes of 2022, table 7. Micro has three spellings: the
/// letter `u`, the micro sign and the Greek letter.
pub(in crate::quantity) static PREFIXES: &[Prefix] = &[
    prefix("k", "k", "kilo", 3),
    prefix("m", "m", "milli", -3),
    prefix("c", "c", "centi", -2),
    prefix("M", "M", "mega", 6),
    prefix("u", "µ", "micro", -6),
    prefix("\u{b5}", "µ", "micro", -6),
    prefix("\u{3bc}", "µ", "micro", -6),
    prefix("n", "n", "nano", -9),
    prefix("G", "G", "giga", 9),
    prefix("d", "d", "deci", -1),
    prefix("h", "h", "hecto", 2),
    prefix("da", "da", "deca", 1),
    prefix("p", "p", "pico", -12),
    prefix("T", "T", "tera", 12),
    prefix("f", "f", "femto", -15),
    prefix("P", "P", "peta", 15),
    prefix("a", "a", "atto", -18),
    prefix("E", "E", "exa", 18),
    prefix("z", "z", "zepto", -21),
    prefix("Z", "Z", "zetta", 21),
    prefix("y", "y", "yocto", -24),
    prefix("Y", "Y", "yotta", 24),
    prefix("r", "r", "ronto", -27),
    prefix("R", "R", "ronna", 27),
    prefix("q", "q", "quecto", -30),
    prefix("Q", "Q", "quetta", 30),
];

/// The spelling in ASCII: `u` for the micro sign.
pub(in crate::quantity) fn ascii(prefix: &Prefix) -> &'static str {
    if prefix.power == -6 {
        "u"
    } else {
        prefix.typed
    }
}
