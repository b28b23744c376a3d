//! The registry of units: constant tables, an index that is sorted when the program is built, and
//! look-up by symbol with SI prefixes.
//!
//! No factor is typed here that `uom` has exactly: rows either point at a unit of `uom`, read
//! through its traits, or are products of exact defining constants with their published source.

mod customary;
mod names;
mod prefix;
pub(super) mod refused;
mod row;
mod si;
mod size;
mod together;

pub use row::Row;

pub(super) use prefix::{PREFIXES, Prefix, ascii};
pub(super) use size::Size;

/// The tables of rows.
static TABLES: [&[Row]; 2] = [si::ROWS, customary::ROWS];

/// How many symbols there are.
const COUNT: usize = count(si::ROWS) + count(customary::ROWS);

/// A symbol and where its row is: table and place.
type Entry = (&'static str, u8, u16);

/// Every symbol, in the order of its bytes.
static INDEX: [Entry; COUNT] = sorted();

/// A unit symbol that was found: its row, and the prefix before it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Found {
    pub row: &'static Row,
    pub prefix: Option<&'static Prefix>,
}

/// The unit with this symbol. A symbol of the tables comes before a prefixed reading of the same
/// letters: `min` is the minute, never a milli-inch.
pub(super) fn find(symbol: &str) -> Option<Found> {
    if let Some(row) = find_exactly(symbol) {
        return Some(Found { row, prefix: None });
    }
    PREFIXES.iter().find_map(|prefix| {
        let rest = symbol.strip_prefix(prefix.typed)?;
        let row = find_exactly(rest).filter(|row| row.takes_prefixes())?;
        Some(Found {
            row,
            prefix: Some(prefix),
        })
    })
}

fn find_exactly(symbol: &str) -> Option<&'static Row> {
    let at = INDEX
        .binary_search_by(|(known, _, _)| known.as_bytes().cmp(symbol.as_bytes()))
        .ok()?;
    let (_, table, place) = INDEX.get(at)?;
    TABLES.get(usize::from(*table))?.get(usize::from(*place))
}

/// Whether this is the symbol of a unit, with or without a prefix.
pub fn is_unit(symbol: &str) -> bool {
    find(symbol).is_some()
}

/// The name of a unit, for messages: "ampere" for `A`, "kilopascal" for `kPa`.
pub fn describe(symbol: &str) -> Option<String> {
    let found = find(symbol)?;
    let prefix = found.prefix.map_or("", |prefix| prefix.name);
    Some(format!("{prefix}{}", found.row.name()))
}

/// Every unit, by subject.
pub fn list() -> impl Iterator<Item = &'static Row> {
    TABLES.iter().flat_map(|table| table.iter())
}

/// What is typed for a unit that is written in full, or as a trade runs it together.
pub fn in_words(symbol: &str) -> Option<String> {
    refused::of_the_trade(symbol)
        .or_else(|| names::in_words(symbol))
        .or_else(|| together::meant(symbol))
}

/// The symbol of a unit that is written in full, else the known symbol nearest to a mistyped one.
/// A long word is no symbol with a slip: it only shares letters with one.
pub(super) fn nearest(symbol: &str) -> Option<String> {
    if let Some(named) = in_words(symbol) {
        return Some(named);
    }
    let known: Vec<String> = usual().collect();
    let nearest = crate::diagnostic::nearest(symbol, known.iter().map(String::as_str));
    nearest
        .filter(|near| is_near_enough(symbol, near))
        .map(str::to_owned)
        .or_else(|| names::nearly_in_words(symbol))
}

/// The symbols of the same letters in another case: `mPa` and `MPa` for `mpa`.
pub(super) fn of_other_case(symbol: &str) -> Vec<String> {
    usual()
        .filter(|known| known.eq_ignore_ascii_case(symbol))
        .collect()
}

/// Every symbol, and those with a prefix that is in use.
fn usual() -> impl Iterator<Item = String> {
    let prefixed = list().filter(|row| row.takes_prefixes()).flat_map(|row| {
        let common = PREFIXES.iter().take_while(|prefix| prefix.power != -1);
        common.map(move |prefix| format!("{}{}", prefix.typed, row.symbol()))
    });
    list()
        .flat_map(|row| row.symbols().iter().map(|it| (*it).to_owned()))
        .chain(prefixed)
}

/// Whether a word of many letters differs from a symbol by one slip or its case.
fn is_near_enough(word: &str, symbol: &str) -> bool {
    const LONG: usize = 5;
    let is_slip = || symbol.chars().count() + 1 >= LONG && strsim::osa_distance(word, symbol) == 1;
    word.chars().count() < LONG || word.eq_ignore_ascii_case(symbol) || is_slip()
}

const fn count(rows: &[Row]) -> usize {
    let mut total = 0;
    let mut at = 0;
    while at < rows.len() {
        total += rows[at].symbols().len();
        at += 1;
    }
    total
}

/// The index, sorted while the program is built; two equal symbols stop the build.
const fn sorted() -> [Entry; COUNT] {
    let mut index: [Entry; COUNT] = [("", 0, 0); COUNT];
    let filled = insert(&mut index, 0, si::ROWS, 0);
    let filled = insert(&mut index, filled, customary::ROWS, 1);
    assert!(filled == COUNT);
    index
}

/// Inserts the symbols of a table in their places and returns how many entries there are.
const fn insert(
    index: &mut [Entry; COUNT],
    mut filled: usize,
    rows: &'static [Row],
    table: u8,
) -> usize {
    let mut place = 0;
    while place < rows.len() {
        let symbols = rows[place].symbols();
        let mut which = 0;
        while which < symbols.len() {
            let symbol = symbols[which];
            let target = place_for(index, filled, symbol);
            let mut at = filled;
            while at > target {
                index[at] = index[at - 1];
                at -= 1;
            }
            index[target] = (symbol, table, place as u16);
            filled += 1;
            which += 1;
        }
        place += 1;
    }
    filled
}

/// Where a symbol belongs among the first `filled` entries.
const fn place_for(index: &[Entry; COUNT], filled: usize, symbol: &str) -> usize {
    let (mut low, mut high) = (0, filled);
    while low < high {
        let middle = usize::midpoint(low, high);
        match compare(index[middle].0.as_bytes(), symbol.as_bytes()) {
            -1 => low = middle + 1,
            1 => high = middle,
            _ => panic!("two units have the same symbol"),
        }
    }
    low
}

/// -1, 0 or 1 as the first is before, equal to or after the second.
const fn compare(first: &[u8], second: &[u8]) -> i8 {
    let mut at = 0;
    while at < first.len() && at < second.len() {
        if first[at] != second[at] {
            return if first[at] < second[at] { -1 } else { 1 };
        }
        at += 1;
    }
    if first.len() == second.len() {
        0
    } else if first.len() < second.len() {
        -1
    } else {
        1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_that_is_written_in_full_is_known() {
        for (word, symbol) in [
            ("metre", "m"),
            ("Meters", "m"),
            ("pascal", "Pa"),
            ("seconds", "s"),
            ("tonnes", "t"),
            ("newton", "N"),
            ("days", "d"),
            ("inch", "in"),
            ("inches", "in"),
            ("feet", "ft"),
            ("hours", "h"),
            ("watts", "W"),
            ("joules", "J"),
            ("kelvin", "K"),
            ("degrees", "deg"),
            ("liter", "L"),
            ("pounds", "lb"),
            ("kilonewtons", "kN"),
            ("millimeters", "mm"),
            ("Megapascal", "MPa"),
            ("kilogram", "kg"),
            ("mtr", "m"),
            ("pascl", "Pa"),
        ] {
            assert_eq!(nearest(word).as_deref(), Some(symbol), "{word}");
        }
    }

    #[test]
    fn a_long_word_is_no_symbol_that_shares_letters_with_it() {
        for word in ["bananas", "metric", "person", "widgets", "sheets"] {
            assert_eq!(nearest(word), None, "{word}");
        }
        assert_eq!(nearest("mmHgg").as_deref(), Some("mmHg"));
        assert_eq!(nearest("MMhg").as_deref(), Some("mmHg"));
        assert_eq!(nearest("KPa").as_deref(), Some("kPa"));
    }

    /// `20/ln(10)`, `16129π/100000000000000`, `5/9`, `5/9 = 0.55…`: what a told factor comes to.
    fn worth(told: &str) -> f64 {
        let quotient = told.split(" = ").next().unwrap_or(told);
        let (above, below) = quotient.split_once('/').unwrap_or((quotient, "1"));
        let part = |text: &str| -> f64 {
            if let Some(inner) = text.strip_prefix("ln(") {
                let inner: f64 = inner.trim_end_matches(')').parse().expect(told);
                return inner.ln();
            }
            match text.strip_suffix('π') {
                Some("") => std::f64::consts::PI,
                Some(number) => number.parse::<f64>().expect(told) * std::f64::consts::PI,
                None => text.parse().expect(told),
            }
        };
        part(above) / part(below)
    }

    #[test]
    fn every_factor_is_told_without_rounding() {
        for row in list() {
            let told = row.exact_factor();
            let ratio = worth(&told) / row.factor();
            assert!((ratio - 1.0).abs() < 1e-15, "{}: {told}", row.symbol());
        }
    }

    #[test]
    fn every_source_is_a_published_definition() {
        for row in list() {
            assert!(!row.source().contains("uom"), "{}", row.symbol());
            assert!(!row.source().contains("::"), "{}", row.symbol());
            assert!(!row.source().is_empty(), "{}", row.symbol());
        }
    }

    #[test]
    fn plurals_and_spellings_of_every_unit_lead_to_it() {
        for row in list() {
            let (name, symbol) = (row.name(), row.symbol());
            let name_of = |word: &str| find(word).map(|it| it.row.name());
            if name.contains([' ', '(']) {
                continue;
            }
            let upper = name.to_uppercase();
            for word in [
                format!("{name}s"),
                format!("{name}es"),
                upper,
                name.to_owned(),
            ] {
                if is_unit(&word) || refused::readings(&word).is_some() {
                    continue;
                }
                // Two units may have one name: lb and lbm.
                let found = in_words(&word).unwrap_or_default();
                assert_eq!(nearest(&word).as_deref(), Some(&*found), "{word}");
                assert_eq!(name_of(&found), Some(name), "{word}");
            }
            if row.takes_prefixes() {
                let word = format!("milli{name}s");
                let expected = format!("m{symbol}");
                assert_eq!(in_words(&word), Some(expected), "{word}");
            }
        }
    }

    #[test]
    fn what_a_trade_runs_together_leads_to_what_it_means() {
        let cases = [
            ("knots", "knot"),
            ("days", "d"),
            ("mM", "mmol/L"),
            ("uM", "umol/L"),
            ("µM", "µmol/L"),
            ("psid", "psi"),
            ("kPad", "kPa"),
            ("bard", "bar"),
            ("kPag", "kPa gauge"),
            ("MPaa", "MPa abs"),
            ("dBm", "dB"),
            ("dBA", "dB"),
            ("dBW", "dB"),
            ("yds", "yd"),
            ("gals", "gal"),
            ("mins", "min"),
            ("kgs", "kg"),
            ("sqft", "ft^2"),
            ("sqmm", "mm^2"),
            ("cuft", "ft^3"),
            ("cuyd", "yd^3"),
            ("fps", "ft/s"),
            ("lpm", "L/min"),
            ("henries", "H"),
            ("feet", "ft"),
            ("furlongs", "furlong"),
            ("parsecs", "pc"),
            ("nepers", "Np"),
            ("footcandles", "footcandle"),
        ];
        for (word, meant) in cases {
            assert_eq!(in_words(word).as_deref(), Some(meant), "{word}");
        }
        for product in ["kNm", "Nm", "kNs", "Vs", "kWs", "Pas", "mA", "ftlbf"] {
            assert_eq!(in_words(product), None, "{product}");
        }
    }

    #[test]
    fn every_symbol_finds_its_own_row() {
        for row in list() {
            for symbol in row.symbols() {
                let found = find(symbol).expect(symbol);
                assert!(std::ptr::eq(found.row, row), "{symbol}");
                assert!(found.prefix.is_none(), "{symbol}");
            }
            assert!(row.symbol().is_ascii(), "{}", row.symbol());
        }
    }

    #[test]
    fn no_unit_is_also_refused() {
        for row in list() {
            for symbol in row.symbols() {
                assert_eq!(refused::readings(symbol), None);
            }
        }
    }

    #[test]
    fn symbols_that_could_be_a_prefix_and_a_unit_are_the_unit() {
        let mut collisions = Vec::new();
        for row in list() {
            for symbol in row.symbols() {
                for prefix in PREFIXES {
                    let rest = symbol.strip_prefix(prefix.typed).and_then(find_exactly);
                    if let Some(other) = rest.filter(|other| other.takes_prefixes()) {
                        collisions.push(format!("{symbol} not {}{}", prefix.name, other.name()));
                    }
                }
            }
        }
        collisions.sort();
        assert_eq!(
            collisions,
            [
                "Gs not gigasecond",
                "PS not petasiemens",
                "ct not centitonne",
                "ft not femtotonne",
                "pt not picotonne",
                "qt not quectotonne",
            ]
        );
    }

    #[test]
    fn no_symbol_is_two_prefixed_units() {
        for row in list().filter(|row| row.takes_prefixes()) {
            for symbol in row.symbols() {
                for prefix in PREFIXES {
                    let spelled = format!("{}{symbol}", prefix.typed);
                    let others = PREFIXES.iter().filter(|other| {
                        let rest = spelled.strip_prefix(other.typed).and_then(find_exactly);
                        rest.is_some_and(Row::takes_prefixes)
                    });
                    assert_eq!(others.count(), 1, "{spelled}");
                }
            }
        }
    }

    #[test]
    fn names_carry_the_name_of_the_prefix() {
        assert_eq!(describe("A").as_deref(), Some("ampere"));
        assert_eq!(describe("kPa").as_deref(), Some("kilopascal"));
        assert_eq!(describe("µm").as_deref(), Some("micrometre"));
        assert_eq!(describe("mkg"), None);
        assert_eq!(describe(""), None);
    }

    #[test]
    fn prefixes_are_refused_where_the_standard_has_none() {
        for symbol in ["kmin", "kh", "mdeg", "kha", "kft", "mdB", "kdegC", "k%"] {
            assert!(!is_unit(symbol), "{symbol}");
        }
        for symbol in ["mK", "kbar", "MeV", "cP", "mL", "kt", "mbarg", "kWh", "daN"] {
            assert!(is_unit(symbol), "{symbol}");
        }
    }
}
