//! Names for headings that links can go to.

use std::collections::{HashMap, HashSet};

/// Gives each heading a name that is unique in the worksheet.
#[derive(Debug, Default)]
pub struct Names {
    used: HashSet<String>,
    // The next number to try for each slug, so that a thousand equal headings stay linear.
    next: HashMap<String, u32>,
}

impl Names {
    /// The name for a heading with these words: `h-` and a slug, numbered when it is taken.
    pub fn name(&mut self, text: &str) -> String {
        let slug = slug(text);
        let number = self.next.entry(slug.clone()).or_insert(1);
        loop {
            let name = match *number {
                1 => format!("h-{slug}"),
                number => format!("h-{slug}-{number}"),
            };
            *number += 1;
            if self.used.insert(name.clone()) {
                return name;
            }
        }
    }

    /// Whether some heading has this name.
    pub(super) fn contains(&self, name: &str) -> bool {
        self.used.contains(name)
    }
}

/// Letters and digits in lower case, everything between them one hyphen.
fn slug(text: &str) -> String {
    let mut slug = String::new();
    for character in text.chars() {
        if character.is_alphanumeric() {
            slug.extend(
                character
                    .to_lowercase()
                    .filter(|lower| lower.is_alphanumeric()),
            );
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
    }
    while slug.ends_with('-') {
        slug.pop();
    }
    if slug.is_empty() {
        slug.push_str("section");
    }
    slug
}

#[cfg(test)]
mod tests {
    use super::Names;

    #[test]
    fn names_are_slugs_and_never_repeat() {
        let mut names = Names::default();
        assert_eq!(names.name("1. Pump & pipe: Δp"), "h-1-pump-pipe-δp");
        assert_eq!(names.name("Loads"), "h-loads");
        assert_eq!(names.name("Loads 2"), "h-loads-2");
        assert_eq!(names.name("loads"), "h-loads-3");
        assert_eq!(names.name("—"), "h-section");
        assert!(names.contains("h-loads-3"));
    }
}
