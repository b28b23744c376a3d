//! The nearest known word, for "did you mean".

/// The known word nearest to `word`, if it is near enough to be what was meant.
///
/// Near enough: an edit distance (with transpositions) of one for words up to four letters, two
/// for longer ones; a difference of case only always counts. Ties go to
/// the one that differs latest, then to the first in alphabetical order, so that messages do not
/// depend on the order of the candidates.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let length = word.chars().count();
    let allowed = if length <= 4 { 1 } else { 2 };
    known
        .into_iter()
        .filter(|candidate| *candidate != word)
        .filter_map(|candidate| {
            let differs_after = word
                .bytes()
                .zip(candidate.bytes())
                .take_while(|(left, right)| left == right)
                .count();
            let late = std::cmp::Reverse(differs_after);
            if candidate.eq_ignore_ascii_case(word) {
                return Some((0, late, candidate));
            }
            // A distance as long as the word itself would match anything.
            let distance = strsim::osa_distance(word, candidate);
            (distance <= allowed && distance < length).then_some((distance, late, candidate))
        })
        .min()
        .map(|(.., candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn near_words_are_found_and_far_ones_are_not() {
        let known = ["kPa", "figures", "V_1", "V_2"];
        assert_eq!(nearest("KPa", known), Some("kPa"));
        assert_eq!(nearest("figrues", known), Some("figures"));
        assert_eq!(nearest("V_3", known), Some("V_1"));
        assert_eq!(nearest("mmm", ["mlm", "mm"]), Some("mm"));
        assert_eq!(nearest("x", known), None);
        assert_eq!(nearest("mdot", known), None);
    }
}
