//! Words in a row, as a sentence has them.

/// `1, 2 and 3`
pub fn listed<S: AsRef<str>>(words: &[S]) -> String {
    let words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    match words.as_slice() {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}

/// "1 mark", "4 marks", of a noun whose plural ends with an s.
pub fn counted(count: usize, noun: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {noun}{plural}")
}
