//! The fingerprint of a version: what its sheet has at its foot, and what tells it from another
//! printing.

use super::record::{Printed, Question};
use crate::text::Hash;

/// The fingerprint of a version of a paper, `K7Q2-M5ZX`: the first 40 bits of a SHA-256 of what is
/// asked and marked, in base 32 (RFC 4648). Prose is not in it.
pub fn fingerprint(title: &str, version: &Printed) -> String {
    let text = hashed(title, version);
    let hash = Hash::of(text.as_bytes());
    let code = base32(hash.seed() >> 24);
    let (one, other) = code.split_at(4);
    format!("{one}-{other}")
}

/// What is hashed: a line each.
fn hashed(title: &str, version: &Printed) -> String {
    let mut lines = vec![
        format!("title {title}"),
        format!("version {}", version.version),
    ];
    for (at, question) in version.questions.iter().enumerate() {
        of_question(at + 1, question, &mut lines);
    }
    // What is written holds line ends nowhere but between the lines.
    let lines: Vec<String> = (lines.iter())
        .map(|line| line.replace(['\n', '\r'], " "))
        .collect();
    lines.join("\n")
}

fn of_question(number: usize, question: &Question, lines: &mut Vec<String>) {
    lines.push(format!("question {number}"));
    let data = question.data.iter();
    lines.extend(data.map(|it| format!("datum {} = {}", it.name, it.text)));
    for part in &question.parts {
        lines.push(format!("required {}", part.required));
        let answers: Vec<String> = part.si.iter().map(|it| six_figures(*it)).collect();
        lines.push(format!("answer {}", answers.join(", ")));
        lines.push(format!("marks {}", part.marks));
    }
    let formulas = question.formulas.iter();
    lines.extend(formulas.map(|it| format!("formula {}, marks {}", it.text, it.marks)));
}

/// A number to six figures.
pub fn six_figures(value: f64) -> String {
    match value == 0.0 {
        true => "0".to_owned(),
        false => format!("{value:.5e}"),
    }
}

/// Forty bits in base 32 (RFC 4648, section 6).
fn base32(bits: u64) -> String {
    const DIGITS: &[u8; 32] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";
    let digit = |at: u32| char::from(DIGITS[(bits >> (35 - 5 * at) & 31) as usize]);
    (0..8).map(digit).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4648, section 10: BASE32("fooba") = "MZXW6YTB".
    #[test]
    fn five_bytes_are_as_the_standard_has_them() {
        let bytes = b"fooba".iter();
        let bits = bytes.fold(0, |bits, byte| bits << 8 | u64::from(*byte));
        assert_eq!(base32(bits), "MZXW6YTB");
        assert_eq!(base32(0), "AAAAAAAA");
        assert_eq!(base32((1 << 40) - 1), "77777777");
    }

    /// SHA-256 of "title T\nversion 3" begins with the bytes that another program gives.
    #[test]
    fn a_fingerprint_is_the_beginning_of_a_hash() {
        let version = Printed {
            version: 3,
            fingerprint: String::new(),
            questions: Vec::new(),
        };
        assert_eq!(hashed("T", &version), "title T\nversion 3");
        assert_eq!(fingerprint("T", &version), "5RFY-UOE2");
        assert_ne!(fingerprint("T", &version), fingerprint("U", &version));
    }

    #[test]
    fn numbers_have_six_figures() {
        assert_eq!(six_figures(-550.806_038_188_21), "-5.50806e2");
        assert_eq!(six_figures(0.0), six_figures(-0.0));
        assert_eq!(six_figures(550.806_038), six_figures(550.806_041));
        assert_ne!(six_figures(550.806), six_figures(550.807));
    }
}
