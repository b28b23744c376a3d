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
