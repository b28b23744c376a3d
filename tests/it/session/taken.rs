//! Worksheets that take from others, whose files change beneath: nothing of before is left.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use setsquare::text::{Beside, Files, Source, Unread};
use setsquare::worksheet::{Session, compile_beside};

use super::random::{Random, edit};
use super::seen;

const MAIN: &str = "\
```given
rho = rho of \"water.md\" at T = 15 degC
V   = V of \"rig/bath.md\"
W   = V of \"rig/bath.md\" under \"Bath\" at d = 0.3 m
mu(T) = mu of \"water.md\"
```

# First

```given
a = area of \"rig/bath.md\" under \"Plate\"
```

```work
m = rho V = ? kg
n = mu(22 degC) a = ? N s
w = W - V = ? L
```

```check
budget of m
```

# Second

```work
m = 2 rho V = ? kg
```
";

const WATER: &str = "\
# Water

```data water
T_i / degC | rho_i / (kg/m^3) | mu_i / (mPa s)
10         | 999.7            | 1.307
20         | 998.2            | 1.002
30         | 995.6            | 0.798

rho_i (resolution 0.1 kg/m^3)
```

```work
rho(T) = rho_i against T_i by cubic
mu(T)  = mu_i against T_i by cubic
```
";

const BATH: &str = "\
# Bath

```given
d = 0.25 m ± 1 mm
h = h of \"deep/level.md\"
```

```work
V = h pi d^2/4 = ? L
```

# Plate

```given
b = 120 mm
```

```work
area = b^2 = ? cm^2
```
";

const LEVEL: &str = "\
```data gauge
h_i / mm
410
413
409
```

```work
h = repeated(h_i) = ? mm
```
";

#[derive(Debug, Default)]
struct Desk(Mutex<BTreeMap<String, String>>);

impl Desk {
    fn write(&self, path: &str, text: Option<&str>) {
        let mut files = self.0.lock().unwrap();
        match text {
            Some(text) => files.insert(path.to_owned(), text.to_owned()),
            None => files.remove(path),
        };
    }

    fn text(&self, path: &str) -> Option<String> {
        self.0.lock().unwrap().get(path).cloned()
    }
}

impl Files for Desk {
    fn bytes(&self, path: &str, _: usize) -> Result<Vec<u8>, Unread> {
        let text = self.text(path).ok_or(Unread::Missing)?;
        Ok(text.into_bytes())
    }

    fn names(&self, _: &str) -> Result<Vec<String>, Unread> {
        Ok(Vec::new())
    }
}

#[test]
fn what_is_taken_follows_every_file_that_it_comes_from() {
    const OTHERS: [(&str, &str); 3] = [
        ("water.md", WATER),
        ("rig/bath.md", BATH),
        ("rig/deep/level.md", LEVEL),
    ];
    let desk = Arc::new(Desk::default());
    OTHERS
        .iter()
        .for_each(|(path, text)| desk.write(path, Some(text)));
    let files: Arc<dyn Files> = Arc::clone(&desk) as Arc<dyn Files>;
    let mut session = Session::beside("main.md", Arc::clone(&files), "main.md");
    let mut random = Random(0x9e37_79b9);
    let mut main = MAIN.to_owned();
    let (mut whole, rounds) = (0, 120);
    for round in 0..rounds {
        session.update(&main);
        let beside = Beside::new(Arc::clone(&files), "main.md");
        let fresh = compile_beside(Source::new("main.md", &*main), &beside);
        let context = || {
            let others = OTHERS
                .iter()
                .map(|(path, _)| format!("{path}: {:?}", desk.text(path)));
            format!(
                "round {round}\n{main}\n{}",
                others.collect::<Vec<_>>().join("\n")
            )
        };
        assert_eq!(session.worksheet().files, fresh.files, "{}", context());
        assert!(seen(session.worksheet()) == seen(&fresh), "{}", context());
        whole += i32::from(fresh.diagnostics.is_empty());
        // What is wrong is put right now and then, so that much of it stays right.
        let (path, original) = OTHERS[random.below(OTHERS.len())];
        match random.below(8) {
            0 => main = edit(&main, &mut random),
            1 => main = MAIN.to_owned(),
            2 => desk.write(path, None),
            3 | 4 => OTHERS
                .iter()
                .for_each(|(path, text)| desk.write(path, Some(text))),
            _ => {
                let text = desk.text(path).unwrap_or_else(|| original.to_owned());
                desk.write(path, Some(&edit(&text, &mut random)));
            }
        }
    }
    assert!(whole > rounds / 8, "{whole}");
}
