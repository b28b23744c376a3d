//! The two spellings of a unit: as it is printed, and as an author types it.

use super::registry::{self, Found};
use super::{Unit, UnitError, UnitToken, compose, powers};

/// The factors as they are printed and as they are typed, in the order they were written.
#[derive(Default)]
pub(super) struct Spelling {
    text_above: Vec<String>,
    text_below: Vec<String>,
    source_above: Vec<String>,
    source_below: Vec<String>,
}

impl Spelling {
    /// Adds a factor.
    pub(super) fn add(&mut self, found: Found, token: &UnitToken<'_>) {
        let (printed, typed) = match found.prefix {
            Some(prefix) => (prefix.printed, registry::ascii(prefix)),
            None => ("", ""),
        };
        let (row, power) = (found.row, token.power);
        let text = format!("{printed}{}{}", row.printed(), powers::printed(power));
        let source = format!("{typed}{}{}", row.symbol(), powers::typed(power));
        let (texts, sources) = if token.below {
            (&mut self.text_below, &mut self.source_below)
        } else {
            (&mut self.text_above, &mut self.source_above)
        };
        texts.push(text);
        sources.push(source);
    }

    /// The printed and the typed spelling.
    pub(super) fn finish(self) -> (String, String) {
        (
            powers::slash(&self.text_above, &self.text_below, "·"),
            powers::slash(&self.source_above, &self.source_below, " "),
        )
    }
}

/// A unit in one of our own two spellings.
pub(super) fn read(source: &str) -> Result<Unit, UnitError> {
    compose::compose(&tokens(source))
}

/// One unit over another, by their typed spellings; what stands in both is put together.
pub(super) fn over(above: &str, below: &str) -> Result<Unit, UnitError> {
    let turned = tokens(below).into_iter().map(|token| UnitToken {
        below: !token.below,
        ..token
    });
    let mut all: Vec<UnitToken<'_>> = Vec::new();
    for token in tokens(above).into_iter().chain(turned) {
        let Some(known) = all.iter_mut().find(|known| known.symbol == token.symbol) else {
            all.push(token);
            continue;
        };
        let raised = |token: &UnitToken<'_>| {
            if token.below {
                -token.power
            } else {
                token.power
            }
        };
        let power = raised(known) + raised(&token);
        known.below = power < 0.into();
        known.power = if known.below { -power } else { power };
    }
    all.retain(|token| token.power != 0.into() && !token.symbol.is_empty());
    compose::compose(&all)
}

/// The unit with each of these prefixes before its first symbol, which stands to the first power
/// and takes some; else none.
pub(super) fn with_prefixes(source: &str, prefixes: &[&str]) -> Vec<Unit> {
    let own = tokens(source);
    let Some((first, others)) = own.split_first() else {
        return Vec::new();
    };
    let Some(base) = without_prefix(first.symbol) else {
        return Vec::new();
    };
    if first.power != 1.into() || first.below {
        return Vec::new();
    }
    let with = |prefix: &&str| {
        let symbol = format!("{prefix}{base}");
        let mut all = vec![UnitToken {
            symbol: &symbol,
            ..*first
        }];
        all.extend_from_slice(others);
        compose::compose(&all).ok()
    };
    prefixes.iter().filter_map(with).collect()
}

/// The symbol behind its prefix, where it takes prefixes.
fn without_prefix(symbol: &str) -> Option<&str> {
    let found = registry::find(symbol).filter(|found| found.row.takes_prefixes())?;
    symbol.strip_prefix(found.prefix.map_or("", |prefix| prefix.typed))
}

/// The factors of a unit in one of our own two spellings.
pub(super) fn tokens(source: &str) -> Vec<UnitToken<'_>> {
    let (above, below) = source.split_at(slash_place(source).unwrap_or(source.len()));
    let below = below.trim_start_matches('/');
    let below = match below.strip_prefix('(') {
        Some(inner) => inner.strip_suffix(')').unwrap_or(inner),
        None => below,
    };
    let mut tokens = Vec::new();
    for (part, is_below) in [(above, false), (below, true)] {
        for factor in part.split([' ', '·']).filter(|factor| !factor.is_empty()) {
            tokens.push(read_factor(factor, is_below));
        }
    }
    tokens
}

/// Where the slash is that no exponent holds: not that of `m^(1/2)`.
fn slash_place(source: &str) -> Option<usize> {
    let mut depth = 0;
    source.bytes().position(|byte| {
        match byte {
            b'(' => depth += 1,
            b')' => depth -= 1,
            _ => {}
        }
        byte == b'/' && depth == 0
    })
}

/// A symbol with its exponent, in either spelling; the 1 of `1/s` has the empty symbol.
fn read_factor(factor: &str, below: bool) -> UnitToken<'_> {
    let end = factor.find(|it: char| it == '^' || crate::text::lowered(it).is_some());
    let (symbol, exponent) = factor.split_at(end.unwrap_or(factor.len()));
    UnitToken {
        symbol: if symbol == "1" { "" } else { symbol },
        power: powers::read(exponent).unwrap_or(1.into()),
        below,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit(source: &str) -> Unit {
        read(source).expect(source)
    }

    #[test]
    fn a_unit_is_printed_and_typed_in_the_order_it_was_written() {
        let cases = [
            ("kJ/(kg K)", "kJ/(kg·K)", "kJ/(kg K)"),
            ("m^3/s", "m³/s", "m^3/s"),
            ("N m", "N·m", "N m"),
            ("lbf ft", "lbf·ft", "lbf ft"),
            ("1/s", "1/s", "1/s"),
            ("s^-1", "s⁻¹", "s^-1"),
            ("MPa m^(1/2)", "MPa·m^(1/2)", "MPa m^(1/2)"),
            ("°C", "°C", "degC"),
            ("μm", "µm", "um"),
            ("kΩ", "kΩ", "kohm"),
            ("inH2O", "inH₂O", "inH2O"),
            ("W/(m^2 degC)", "W/(m²·°C)", "W/(m^2 degC)"),
            ("", "", ""),
        ];
        for (typed, text, source) in cases {
            let unit = unit(typed);
            assert_eq!((unit.text(), unit.source()), (text, source));
        }
    }

    #[test]
    fn both_spellings_are_read_back_as_the_same_unit() {
        for source in [
            "kJ/(kg K)",
            "m^3/s",
            "MPa m^(1/2)",
            "s^-1",
            "um^2",
            "W/(m^2 K^4)",
        ] {
            let unit = unit(source);
            assert_eq!(read(unit.text()).as_ref(), Ok(&unit), "{}", unit.text());
            assert_eq!(read(unit.source()).as_ref(), Ok(&unit));
        }
    }
}
