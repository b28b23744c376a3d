//! Names: the one canonical spelling of a name, and the parts it is drawn from.
//!
//! In goes a name as an author wrote it, out comes its key (`ρ_w` and `rho_w` are `rho_w`, `D1`
//! is `D_1`, `Δp` is `Delta_p`), and from a key its base, decoration and subscripts. What a name
//! stands for is decided by `resolve`.

use super::tokens::digits_apart;
use crate::functions::Function;

/// The pressure of the atmosphere, which stands between gauge and absolute: the one name that means
/// something by itself.
pub const ATMOSPHERE: &str = "p_atm";

/// Words of the language, never names.
pub const RESERVED: &[&str] = &[
    "abs",
    "against",
    "agrees",
    "and",
    "as",
    "at",
    "between",
    "by",
    "cases",
    "component",
    "conforms",
    "constant",
    "difference",
    "differs",
    "does",
    "falls",
    "for",
    "from",
    "gauge",
    "near",
    "of",
    "or",
    "otherwise",
    "rises",
    "show",
    "solve",
    "therefore",
    "to",
    "varies",
    "where",
    "with",
    "within",
];

/// Whether `word` is a word of the language and so never a name.
pub fn is_reserved(word: &str) -> bool {
    RESERVED.contains(&word)
}

/// A name taken apart for setting in type.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NameParts {
    /// Whether a Δ stands in front: `Delta_p`.
    pub prefix_delta: bool,
    /// The letter or word.
    pub base: Base,
    /// What stands over the base.
    pub decoration: Option<Decoration>,
    /// The subscripts, in order, by their keys (Greek by name).
    pub subscripts: Vec<String>,
}

/// The base of a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Base {
    /// A Latin letter or a word.
    Latin(String),
    /// A Greek letter.
    Greek(char),
}

/// What stands over a letter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Decoration {
    /// `mdot`
    Dot,
    /// `xbar`
    Bar,
    /// `xhat`
    Hat,
    /// `Fvec`
    Vec,
}

const DECORATIONS: [(&str, Decoration); 4] = [
    ("dot", Decoration::Dot),
    ("bar", Decoration::Bar),
    ("hat", Decoration::Hat),
    ("vec", Decoration::Vec),
];

/// Every Greek letter with its name; the first letter of a name is the one it is set with.
const GREEK: &[(char, &str)] = &[
    ('α', "alpha"),
    ('β', "beta"),
    ('γ', "gamma"),
    ('δ', "delta"),
    ('ε', "epsilon"),
    ('ζ', "zeta"),
    ('η', "eta"),
    ('θ', "theta"),
    ('ι', "iota"),
    ('κ', "kappa"),
    ('λ', "lambda"),
    ('μ', "mu"),
    ('ν', "nu"),
    ('ξ', "xi"),
    ('ο', "omicron"),
    ('π', "pi"),
    ('ρ', "rho"),
    ('σ', "sigma"),
    ('τ', "tau"),
    ('υ', "upsilon"),
    ('φ', "phi"),
    ('χ', "chi"),
    ('ψ', "psi"),
    ('ω', "omega"),
    ('Α', "Alpha"),
    ('Β', "Beta"),
    ('Γ', "Gamma"),
    ('Δ', "Delta"),
    ('Ε', "Epsilon"),
    ('Ζ', "Zeta"),
    ('Η', "Eta"),
    ('Θ', "Theta"),
    ('Ι', "Iota"),
    ('Κ', "Kappa"),
    ('Λ', "Lambda"),
    ('Μ', "Mu"),
    ('Ν', "Nu"),
    ('Ξ', "Xi"),
    ('Ο', "Omicron"),
    ('Π', "Pi"),
    ('Ρ', "Rho"),
    ('Σ', "Sigma"),
    ('Τ', "Tau"),
    ('Υ', "Upsilon"),
    ('Φ', "Phi"),
    ('Χ', "Chi"),
    ('Ψ', "Psi"),
    ('Ω', "Omega"),
    // Other forms of the same letters.
    ('ς', "sigma"),
    ('ϑ', "theta"),
    ('ϕ', "phi"),
    ('ϖ', "pi"),
    ('ϱ', "rho"),
    ('ϵ', "epsilon"),
    ('\u{b5}', "mu"),
    ('\u{2126}', "Omega"),
];

/// Whether a name, in its canonical spelling, is that of a list.
pub fn is_list_name(key: &str) -> bool {
    key.ends_with("_i")
}

/// The canonical spelling of a name. Canonical spellings are their own.
pub fn canonical(name_text: &str) -> Box<str> {
    if is_plain(name_text) {
        return name_text.into();
    }
    match name_text {
        "°C" => return "degC".into(),
        "°F" => return "degF".into(),
        _ => {}
    }
    let (base, subscripts) = split_base(name_text);
    let mut key = String::with_capacity(name_text.len() + 4);
    push_base(&mut key, base);
    for subscript in subscripts {
        key.push('_');
        push_spelled(&mut key, subscript);
    }
    key.into()
}

/// Takes a canonical spelling apart.
pub fn name_parts(key: &str) -> NameParts {
    let mut parts = key.split('_');
    let mut first = parts.next().unwrap_or("");
    let mut rest: Vec<&str> = parts.collect();
    let prefix_delta = first == "Delta"
        && rest
            .first()
            .is_some_and(|next| next.starts_with(char::is_alphabetic));
    if prefix_delta {
        first = rest.remove(0);
    }
    let (base, decoration) = decorated(first);
    NameParts {
        prefix_delta,
        base,
        decoration,
        subscripts: rest.into_iter().map(str::to_owned).collect(),
    }
}

/// Whether a name is ASCII and needs no change: no digit directly after the base's letters, or
/// a built-in function such as `log10`.
fn is_plain(text: &str) -> bool {
    let mut base_length = 0;
    let mut in_base = true;
    for byte in text.bytes() {
        if !byte.is_ascii() {
            return false;
        }
        if byte == b'_' {
            in_base = false;
        }
        base_length += usize::from(in_base);
    }
    let ends_in_digit = text.as_bytes()[..base_length]
        .last()
        .is_some_and(u8::is_ascii_digit);
    !ends_in_digit || Function::reserved(text).is_some()
}

fn split_base(text: &str) -> (&str, std::str::Split<'_, char>) {
    match text.split_once('_') {
        Some((base, rest)) => (base, rest.split('_')),
        None => {
            let mut none = "".split('_');
            none.next();
            (text, none)
        }
    }
}

/// The base: `Δp` in front becomes `Delta_p`, digits at the end become a subscript.
fn push_base(key: &mut String, base: &str) {
    let mut base = base;
    if let Some(rest) = base.strip_prefix('Δ')
        && rest.starts_with(char::is_alphabetic)
    {
        key.push_str("Delta_");
        base = rest;
    }
    let (letters, digits) = digits_apart(base);
    push_letters(key, letters);
    if !digits.is_empty() {
        key.push('_');
        key.push_str(digits);
    }
}

/// The name that was meant by one that begins with a Greek letter's name, or with a part or a usual
/// slip of it: `epsilon` for `eps`, `Delta_T_1` for `DeltaT_1`. `None` for any other.
pub fn meant_greek(key: &str) -> Option<String> {
    let (base, rest) = key.split_at(key.find('_').unwrap_or(key.len()));
    // Most names are letters with a subscript, and are passed at once.
    if base.len() < 3 {
        return None;
    }
    let known = || GREEK.iter().map(|(_, name)| *name);
    if known().any(|name| name == base) || decorated(base).1.is_some() {
        return None;
    }
    let slip = match base {
        "lamda" => Some("lambda"),
        "Lamda" => Some("Lambda"),
        "alfa" => Some("alpha"),
        _ => known().find(|name| name.starts_with(base)),
    };
    let joined = || {
        known().find_map(|name| {
            let after = base.strip_prefix(name)?;
            let is_symbol = after.len() == 1
                && (name.len() > 3 || after.starts_with(char::is_uppercase))
                || known().any(|other| other == after);
            is_symbol.then(|| format!("{name}_{after}"))
        })
    };
    let meant = slip.map(str::to_owned).or_else(joined)?;
    Some(format!("{meant}{rest}"))
}

/// A micro sign with letters after it is a unit, kept with U+00B5; other Greek is spelled out.
fn push_letters(key: &mut String, letters: &str) {
    let unit = letters.strip_prefix(['\u{b5}', 'μ']);
    match unit {
        Some(rest) if !rest.is_empty() && !is_decoration(rest) => {
            key.push('\u{b5}');
            key.push_str(rest);
        }
        _ => push_spelled(key, letters),
    }
}

fn push_spelled(key: &mut String, text: &str) {
    let mut characters = text.chars();
    let alone = text.chars().count() == 1;
    for (index, character) in characters.by_ref().enumerate() {
        match greek_name(character) {
            // `kΩ` is a unit: the letter stays where it is inside a word.
            Some(name) if alone || index == 0 => key.push_str(name),
            _ => key.push(character),
        }
    }
}

fn is_decoration(text: &str) -> bool {
    DECORATIONS.iter().any(|(ending, _)| *ending == text)
}

fn decorated(text: &str) -> (Base, Option<Decoration>) {
    for (ending, decoration) in DECORATIONS {
        if let Some(stem) = text.strip_suffix(ending) {
            if let Some(letter) = greek_letter(stem) {
                return (Base::Greek(letter), Some(decoration));
            }
            if stem.chars().count() == 1 {
                return (Base::Latin(stem.to_owned()), Some(decoration));
            }
        }
    }
    match greek_letter(text) {
        Some(letter) => (Base::Greek(letter), None),
        None => (Base::Latin(text.to_owned()), None),
    }
}

fn greek_name(letter: char) -> Option<&'static str> {
    if letter.is_ascii() {
        return None;
    }
    GREEK
        .iter()
        .find(|(character, _)| *character == letter)
        .map(|(_, name)| *name)
}

/// The Greek letter that a name is spelled for.
pub fn greek_letter(name: &str) -> Option<char> {
    GREEK
        .iter()
        .find(|(_, known)| *known == name)
        .map(|(letter, _)| *letter)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_has_one_spelling() {
        for (written, key) in [
            ("p_1", "p_1"),
            ("D1", "D_1"),
            ("Re2_max", "Re_2_max"),
            ("ρ_w", "rho_w"),
            ("ρ", "rho"),
            ("Δp", "Delta_p"),
            ("ΔT_1", "Delta_T_1"),
            ("Δρ2", "Delta_rho_2"),
            ("Δ", "Delta"),
            ("ωdot", "omegadot"),
            ("μ", "mu"),
            ("\u{b5}_r", "mu_r"),
            ("μm", "\u{b5}m"),
            ("kΩ", "kΩ"),
            ("F_α", "F_alpha"),
            ("log10", "log10"),
            ("log10_x", "log_10_x"),
            ("x2y", "x2y"),
            ("°C", "degC"),
        ] {
            assert_eq!(&*canonical(written), key, "{written}");
            assert_eq!(&*canonical(key), key, "{key} is canonical");
        }
    }

    #[test]
    fn a_key_is_taken_apart() {
        let parts = name_parts("Delta_p_1_max");
        assert!(parts.prefix_delta);
        assert_eq!(parts.base, Base::Latin("p".into()));
        assert_eq!(parts.subscripts, ["1", "max"]);

        assert!(!name_parts("Delta_1").prefix_delta);
        assert_eq!(name_parts("Delta_1").base, Base::Greek('Δ'));
        assert_eq!(name_parts("mdot").decoration, Some(Decoration::Dot));
        assert_eq!(name_parts("mdot").base, Base::Latin("m".into()));
        assert_eq!(name_parts("omegadot_2").base, Base::Greek('ω'));
        assert_eq!(name_parts("crowbar").decoration, None);
        assert_eq!(name_parts("dot").base, Base::Latin("dot".into()));
    }

    #[test]
    fn the_list_of_words_is_sorted() {
        assert!(RESERVED.is_sorted());
        assert!(is_reserved("near") && !is_reserved("near_1"));
    }
}
