//! The map of DEVELOPERS.md against the imports: no room imports from one above it, and no more
//! than three files of a room hang together in a ring.
//!
//! A file imports where it names a path of the crate; a name that another file hands on counts
//! for the file that has it. Tests may import what they like.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// The most files that may need each other.
const MOST_IN_A_RING: usize = 3;

/// A file by its path of modules: `["syntax", "forms", "check"]`.
type Module = Vec<String>;

/// The sources, without their tests.
struct Sources {
    texts: BTreeMap<Module, String>,
    /// What each hands on: the name, `*` for all of a module, and where it comes from.
    handed_on: BTreeMap<Module, Vec<(String, Module)>>,
    /// The paths that each names.
    named: BTreeMap<Module, Vec<Module>>,
}

fn rust_files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            rust_files(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

/// The lines of a file that are no comment, up to the tests in it.
fn code(text: &str) -> String {
    let end = text.find("\n#[cfg(test)]\nmod tests {");
    let lines = text[..end.unwrap_or(text.len())].lines();
    let lines = lines.map(|line| line.split("//").next().unwrap_or_default());
    lines.collect::<Vec<_>>().join("\n")
}

/// The modules of a file that are tests.
fn tests_of(text: &str) -> impl Iterator<Item = &str> {
    text.split("#[cfg(test)]").skip(1).filter_map(|after| {
        let line = after.trim_start().lines().next()?;
        line.strip_prefix("mod ")?.strip_suffix(';')
    })
}

/// The paths of one `use`: `a::{b, c::{d, e}}` has three.
fn paths(of: &str) -> Vec<String> {
    let (Some(open), Some(close)) = (of.find('{'), of.rfind('}')) else {
        let path = of.split(" as ").next().unwrap_or_default();
        return vec![path.trim().to_owned()];
    };
    let mut depth = 0;
    let parts = of[open + 1..close].split(|letter| {
        depth += i32::from(letter == '{') - i32::from(letter == '}');
        letter == ',' && depth == 0
    });
    let parts = parts.map(str::trim).filter(|part| !part.is_empty());
    parts
        .flat_map(|part| paths(&format!("{}{part}", of[..open].trim())))
        .collect()
}

impl Sources {
    fn read() -> Self {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
        let mut files = Vec::new();
        rust_files(&root, &mut files);
        let mut texts = BTreeMap::new();
        let mut tests = BTreeSet::new();
        for file in files {
            let below = file.strip_prefix(&root).unwrap().with_extension("");
            let names = below.iter().map(|name| name.to_str().unwrap().to_owned());
            let mut module: Module = names.collect();
            module.pop_if(|last| last == "mod");
            let text = fs::read_to_string(&file).unwrap();
            tests.extend(tests_of(&text).map(|name| child(&module, name)));
            texts.insert(module, text);
        }
        texts.retain(|module, _| (1..=module.len()).all(|end| !tests.contains(&module[..end])));
        texts.values_mut().for_each(|text| *text = code(text));
        let mut sources = Self {
            texts,
            handed_on: BTreeMap::new(),
            named: BTreeMap::new(),
        };
        for (module, text) in &sources.texts {
            let (handed_on, named) = sources.look_at(module, text);
            sources.handed_on.insert(module.clone(), handed_on);
            sources.named.insert(module.clone(), named);
        }
        sources
    }

    fn look_at(&self, module: &Module, text: &str) -> (Vec<(String, Module)>, Vec<Module>) {
        let (mut handed_on, mut named) = (Vec::new(), Vec::new());
        let mut rest = String::new();
        for statement in text.split_inclusive(';') {
            let at = statement.rfind("use ").filter(|at| {
                let line = statement[..*at].rsplit('\n').next().unwrap_or_default();
                line.trim().is_empty() || line.trim_start().starts_with("pub")
            });
            let Some(at) = at else {
                rest.push_str(statement);
                continue;
            };
            let line = statement[..at].rsplit('\n').next().unwrap_or_default();
            let all = paths(statement[at + 4..].trim_end_matches(';'));
            for path in all.iter().filter_map(|path| self.absolute(module, path)) {
                match line.trim().is_empty() {
                    true => named.push(path),
                    false => handed_on.push((path.last().unwrap().clone(), path)),
                }
            }
        }
        let is_path = |letter: char| letter.is_alphanumeric() || letter == '_' || letter == ':';
        let words = rest.split(|letter| !is_path(letter));
        let inside =
            words.filter(|word| word.starts_with("crate::") || word.starts_with("super::"));
        named.extend(inside.filter_map(|path| self.absolute(module, path)));
        (handed_on, named)
    }

    /// A path from the root of the crate; none for one of a library.
    fn absolute(&self, module: &Module, path: &str) -> Option<Module> {
        let parts: Vec<&str> = path.split("::").filter(|part| !part.is_empty()).collect();
        let ups = parts.iter().take_while(|part| **part == "super").count();
        let (start, skipped) = match *parts.first()? {
            "crate" => (Module::new(), 1),
            "self" => (module.clone(), 1),
            "super" => (module[..module.len().checked_sub(ups)?].to_vec(), ups),
            first => {
                let is_child = self.texts.contains_key(&child(module, first));
                (is_child.then(|| module.clone())?, 0)
            }
        };
        let rest = parts[skipped..].iter().map(|part| (*part).to_owned());
        Some(start.into_iter().chain(rest).collect())
    }

    /// The file that has what a path names.
    fn owner(&self, path: &Module, depth: usize) -> Option<Module> {
        let end = (1..=path.len()).rev();
        let end = end
            .into_iter()
            .find(|end| self.texts.contains_key(&path[..*end]))?;
        let module = path[..end].to_vec();
        let (Some(name), true) = (path.get(end), depth < 8) else {
            return Some(module);
        };
        let further = |from: &Module| {
            let rest = path[end + 1..].iter().cloned();
            self.owner(&from.iter().cloned().chain(rest).collect(), depth + 1)
        };
        for (handed_on, from) in &self.handed_on[&module] {
            if handed_on == name {
                return further(from);
            }
            let all = &from[..from.len() - 1];
            if handed_on == "*" && self.has(all, name) {
                return further(&child(all, name));
            }
        }
        Some(module)
    }

    /// Whether a file has an item of this name, or hands one on.
    fn has(&self, module: &[String], name: &str) -> bool {
        let Some(text) = self.texts.get(module) else {
            return false;
        };
        let has_item = ["struct", "enum", "fn", "trait", "type", "const", "static"]
            .iter()
            .any(|word| text.contains(&format!("{word} {name}")));
        let handed_on = &self.handed_on[module];
        has_item || handed_on.iter().any(|(handed_on, _)| handed_on == name)
    }

    /// The files that each file needs.
    fn needs(&self) -> BTreeMap<&Module, BTreeSet<Module>> {
        let owners = |module: &Module| {
            let named = self.named[module].iter();
            let found = named.filter_map(|path| self.owner(path, 0));
            found.filter(|owner| owner != module).collect()
        };
        (self.texts.keys())
            .map(|module| (module, owners(module)))
            .collect()
    }
}

fn child(module: &[String], name: &str) -> Module {
    module.iter().cloned().chain([name.to_owned()]).collect()
}

/// The rooms in the order of the map, each with its floor.
fn map() -> Vec<(String, usize)> {
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md");
    let page = fs::read_to_string(page).unwrap();
    let rows = page.lines().filter_map(|line| {
        let mut columns = line.strip_prefix("| ")?.split(" | ");
        let floor = columns.next()?.trim().parse().ok()?;
        let room = columns.next()?.trim().trim_matches('`');
        Some((room.trim_end_matches(".rs").to_owned(), floor))
    });
    rows.collect()
}

#[test]
fn rooms_import_only_what_stands_before_them_in_the_map() {
    let map = map();
    let place = |room: &str| map.iter().position(|(name, _)| name == room);
    assert!(map.is_sorted_by_key(|(_, floor)| *floor), "{map:?}");
    let sources = Sources::read();
    let mut seen = BTreeSet::new();
    for (module, paths) in &sources.named {
        // The root of the library names every room.
        let Some(own) = module.first().filter(|own| *own != "lib") else {
            continue;
        };
        let own_place = place(own).unwrap_or_else(|| panic!("no room `{own}` in the map"));
        seen.insert(own.clone());
        for room in paths.iter().filter_map(|path| path.first()) {
            let is_allowed = place(room).is_none_or(|place| place <= own_place);
            assert!(is_allowed, "{} imports from `{room}`", module.join("/"));
        }
    }
    assert_eq!(seen.len(), map.len(), "{seen:?} {map:?}");
}

#[test]
fn at_most_three_files_of_a_room_need_each_other() {
    let sources = Sources::read();
    let needs = sources.needs();
    let in_room = |module: &Module| {
        let room = module[0].clone();
        let own = needs[module].iter();
        own.filter(move |other| other[0] == room)
    };
    let reached = |from: &Module| {
        let mut reached = BTreeSet::new();
        let mut open: Vec<&Module> = in_room(from).collect();
        while let Some(module) = open.pop() {
            if reached.insert(module.clone()) {
                open.extend(in_room(module));
            }
        }
        reached
    };
    let reached: BTreeMap<&Module, BTreeSet<Module>> =
        needs.keys().map(|from| (*from, reached(from))).collect();
    assert!(reached.values().any(|reached| reached.len() > 10));
    for (module, below) in &reached {
        let ring: Vec<String> = (below.iter())
            .filter(|other| reached[*other].contains(*module))
            .map(|other| other.join("/"))
            .collect();
        assert!(
            ring.len() <= MOST_IN_A_RING,
            "these need each other: {ring:?}"
        );
    }
}
