//! The nearest known word, for "did you mean".

use crate::text::Reader;

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

/// The file that is likely to be meant by a path at which there is none; where none is
/// spelled alike, those of its kind.
pub fn nearest_file(path: &str, reader: &Reader<'_>) -> Vec<String> {
    let mut folder = String::new();
    let mut rest = path;
    loop {
        let (part, below) = match rest.split_once('/') {
            Some((part, below)) => (format!("{part}/"), below),
            None => (rest.to_owned(), ""),
        };
        let listed = match folder.as_str() {
            "" => reader.read("/"),
            folder => reader.read(folder),
        };
        let names = match &*listed {
            Ok((bytes, _)) => String::from_utf8_lossy(bytes).into_owned(),
            Err(_) => return Vec::new(),
        };
        if !below.is_empty() && names.lines().any(|name| name == part) {
            folder.push_str(&part);
            rest = below;
            continue;
        }
        let alike = |name: &&str| name.ends_with('/') == part.ends_with('/');
        let stem = |name: &&str| name.split_once('.').is_some_and(|(stem, _)| stem == part);
        let mut stems = names.lines().filter(stem);
        if let (Some(only), None) = (stems.next(), stems.next()) {
            return vec![format!("{folder}{only}")];
        }
        if let Some(near) = nearest(&part, names.lines().filter(alike)) {
            return vec![format!("{folder}{near}{below}")];
        }
        let kind = |name: &str| name.rsplit_once('.').map(|(_, kind)| kind.to_owned());
        let of_kind = names
            .lines()
            .filter(alike)
            .filter(|name| kind(name) == kind(&part));
        return match below {
            "" => of_kind.map(|name| format!("{folder}{name}")).collect(),
            _ => Vec::new(),
        };
    }
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
