//! Random edits of all kinds of worksheets.

use std::fs;
use std::path::Path;

use super::{assert_equal, session};

/// A small generator of random numbers, so that a failure can be had again.
pub struct Random(pub u64);

impl Random {
    pub fn below(&mut self, bound: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as usize % bound.max(1)
    }

    fn pick<'a, T: ?Sized>(&mut self, all: &[&'a T]) -> &'a T {
        all[self.below(all.len())]
    }
}

/// What is typed.
const SNIPPETS: &[&str] = &[
    "1",
    "2.5",
    "0",
    "7",
    "-",
    "+",
    " ",
    " = ",
    "?",
    " kPa",
    " m",
    "\n",
    "\n\n",
    "x",
    "rho",
    "_1",
    "`",
    "```\n",
    "```given\n",
    "# New\n",
    "*a*",
    "$x^2$",
    "[a]",
    " -- words",
    " # note",
    "(",
    ")",
    "^2",
    "<",
    "~",
    "α",
    "𝛼",
    "\r\n",
    "\t",
    "`? m of h`",
    "`p = ? kPa`",
    "therefore ",
    "within 1 %",
    " ± 0.1",
    "at x = 2 m",
    " gauge",
    "[^1]",
    "[x]: y\n",
    "---\n",
    "|a|b|\n|-|-|\n",
    "- item\n",
    "- ```\n",
    "  ```given\n",
    "      ",
    "\u{feff}",
    "```derive\ns(a) = a^2 + 1\n```\n",
    "s(2)",
    "s(x)",
    "(3, -4) kN",
    "\n\n# Sheet\n\n",
    "\n\n# Another\n\n",
    "\n\n## Part\n\n",
    "Title\n===\n",
    "[up](#h-first)",
    "[y]: /z\n",
    "\n<div>\n",
    "a: F = m x\n",
    "g: h = 2 x\n",
    "```sketch\ns: body\npoint A\n",
    "force F up",
    "point B = x right from A\n",
    " at A",
    "above left",
    ", area x, open",
    " by balance x of s",
    "balance y of s\n",
];

/// Changes a digit, a piece of a line, a whole line, or several places at once.
pub fn edit(text: &str, random: &mut Random) -> String {
    let boundary = |mut at: usize| {
        while !text.is_char_boundary(at) {
            at += 1;
        }
        at
    };
    match random.below(10) {
        0..4 => {
            let digits: Vec<usize> = (text.char_indices())
                .filter(|(_, letter)| letter.is_ascii_digit())
                .map(|(at, _)| at)
                .collect();
            let Some(at) = digits.get(random.below(digits.len())) else {
                return text.to_owned();
            };
            let mut new = text.to_owned();
            new.replace_range(*at..at + 1, random.pick(&["1", "2", "3", "8", "44", ""]));
            new
        }
        4..7 => {
            let from = boundary(random.below(text.len() + 1));
            let to = boundary((from + random.below(6)).min(text.len()));
            let mut new = text.to_owned();
            new.replace_range(from..to, random.pick(SNIPPETS));
            new
        }
        7 => {
            let lines: Vec<&str> = text.split_inclusive('\n').collect();
            let (gone, to) = (random.below(lines.len()), random.below(lines.len()));
            let mut new = lines.clone();
            if !new.is_empty() {
                let line = new.remove(gone);
                if random.below(2) == 0 {
                    new.insert(to.min(new.len()), line);
                }
            }
            new.concat()
        }
        8 => {
            let lines: Vec<&str> = text.split_inclusive('\n').collect();
            let at = random.below(lines.len());
            let mut new = lines.clone();
            new.insert(
                at,
                random.pick(&[
                    "y = 3 m\n",
                    "z = x^2 = ?\n",
                    "Text.\n",
                    "x > 0\n",
                    "\n",
                    "force K left\n",
                    "weight W\n",
                    "density x\n",
                ]),
            );
            new.concat()
        }
        _ => edit(&edit(text, random), random),
    }
}

/// A few edits after each other, some of them undone.
fn edits(text: &str, seed: u64, count: usize) {
    let mut random = Random(seed * 2 + 1);
    let mut session = session(text);
    for _ in 0..count {
        let before = session.text().to_owned();
        let mut after = edit(&before, &mut random);
        if random.below(5) == 0 {
            after = text.to_owned();
        }
        session.update(&after);
        assert_eq!(session.text(), after);
        assert_equal(&session, &before);
    }
}

/// Changes what proofs and solutions hang on, there or back, at one place or at all.
fn swap(text: &str, random: &mut Random) -> String {
    let (one, other) = SWAPS[random.below(SWAPS.len())];
    let (from, to) = match random.below(2) {
        0 => (one, other),
        _ => (other, one),
    };
    match random.below(3) {
        0 => text.replace(from, to),
        1 => text.replacen(from, to, 1),
        _ => match text.rfind(from) {
            Some(at) => format!("{}{to}{}", &text[..at], &text[at + from.len()..]),
            None => text.to_owned(),
        },
    }
}

/// `ROUNDS=20 cargo test --test it session` tries twenty times as many.
fn rounds() -> u64 {
    let asked = std::env::var("ROUNDS").ok();
    asked.and_then(|rounds| rounds.parse().ok()).unwrap_or(1)
}

fn worksheets() -> std::io::Result<Vec<String>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("worksheets");
    let mut paths = (fs::read_dir(folder)?)
        .map(|entry| entry.map(|entry| entry.path()))
        .collect::<std::io::Result<Vec<_>>>()?;
    paths.retain(|path| path.extension().is_some_and(|ending| ending == "md"));
    paths.sort();
    paths.iter().map(fs::read_to_string).collect()
}

#[test]
fn edited_worksheets_equal_fresh_ones() {
    for (number, text) in worksheets().unwrap().iter().enumerate() {
        for seed in 0..rounds() {
            edits(text, number as u64 * 1000 + seed, 12);
        }
    }
}

#[test]
fn edited_sheets_of_data_and_formulas_equal_fresh_ones() {
    for seed in 0..30 * rounds() {
        edits(SHEET, 77_000 + seed, 20);
    }
}

#[test]
fn edited_sheets_with_readings_and_uncertainties_equal_fresh_ones() {
    for seed in 0..15 * rounds() {
        edits(READINGS, 99_000 + seed, 20);
    }
}

#[test]
fn edited_derivations_equal_fresh_ones() {
    for seed in 0..8 * rounds() {
        edits(DERIVED, 123_000 + seed, 15);
    }
}

#[test]
fn edited_proofs_and_what_they_hang_on_equal_fresh_ones() {
    for seed in 0..12 * rounds() {
        let mut random = Random(seed * 2 + 201_001);
        let mut session = session(PROVED);
        for _ in 0..15 {
            let before = session.text().to_owned();
            let after = match random.below(8) {
                0 => edit(&before, &mut random),
                1 => PROVED.to_owned(),
                _ => swap(&before, &mut random),
            };
            session.update(&after);
            assert_equal(&session, &before);
        }
    }
}

#[test]
fn edited_sheets_with_vectors_equal_fresh_ones() {
    for seed in 0..10 * rounds() {
        edits(VECTORS, 155_000 + seed, 15);
    }
}

#[test]
fn edited_worksheets_of_several_problems_equal_fresh_ones() {
    for seed in 0..20 * rounds() {
        edits(PROBLEMS, 177_000 + seed, 25);
    }
}

const PROBLEMS: &str = "\
---
title: Rods
---

All rods by [law], with `E = ? GPa`.

```given
E = 210 GPa
```

```derive
law: sigma = E epsilon
s(a) = a^2
```

# Rods

```given
g = 9.81 m/s^2
```

# First

By [law] and [load] it is `F = ? kN`.

```given
A = s(12 mm)
epsilon = 0.001
```

```derive
load: F = sigma A
```

```work
sigma = ? MPa
F = ? kN
```

## Notes

- a list

# Second

```given
A = 2 cm^2
m = 250 kg
```

```derive
pull: F = m g
own: sigma = F/A
```

```work
F = ? kN
sigma = ? MPa
```

By [own] of (2), `sigma = ? MPa`, not by [load].

# Second

```check
E > 200 GPa
g < E
```
";

const VECTORS: &str = "\
# Bracket

```given
F = (3, -4) kN
r = (0.2, 0.5) m
k = 2
```

```work
G = k F = ? kN
S = F + G = ? N
M = cross(r, F) = ? N m
m = |S| = ? kN
a = S.x/k = ? kN
```

The pull is `|F| = ? kN`.

```answer
S = ? kN
```
";

const SHEET: &str = "\
---
title: Sheet
figures: 4
---

Text above with `k = ?`.

```given
k = 3
```

# First

Some *text* with `A = ? cm^2` and `? m of x`.

```given
x = 2.50 m  -- length, `? mm of x`
y = 75 mm
n = 2
```

- a list
- with `? m^2 of k x y`

```work
A = x y = ? cm^2   -- area
B = A^n = ? m^4
C = k A = 5625 cm^2
```

## Part

```required
D = ? m^3 (+ up, - down) -- volume
```

```work
D = A y
|D| = ? L
E = D/x = ?
A = ? m^2 at x = 3 m
```

```check
A > 1000 cm^2
E rises with y
C = 3 A within 1 %
A -> 0 as y -> 0
sensitivity of D
```

```answer
D = ? L to 3 figures
E
```

# Second

```given
x = 1.5 s
v_i = [1, 2, 4] m/s
```

```work
s_i = v_i x = ? m
t = sum(s_i)/(k 1 m/s) = ? s
u = cases(x for x > 1 s, 2 x otherwise)
```

The sum is `t = ? s`, and `? % of t/x`.
";

const READINGS: &str = "\
# Readings

```given
p_atm = 101.3 kPa
p_1 = 240 kPa gauge
T_1 = 20 degC
L = 50.02 ± 0.04 mm
D = 12.0(2) mm
N = 1450 rpm
```

```work
p_2 = absolute(p_1) = ? kPa
A = pi D^2/4 = ? mm^2
V = A L = ? mm^3
omega = 2 pi N = ? rad/s
T_2 = T_1 + 15 K = ? degC
r = p_2/p_atm
```

Volume `V = ? mm^3`, at `T_2 = ? degC`.

```check
V > 1 mm^3
p_2 rises with p_1
```
";

const DERIVED: &str = "\
# Nozzle

```given
Q = 12 L/s
d = 40 mm
rho = 998 kg/m^3
theta = 30 deg
F = (2, 3) N
```

```derive
A = pi d^2/4
area: Q = A V
solve area for V
thrust: F = rho Q V cos(theta)
therefore F = rho Q^2 cos(theta)/A
```

By [thrust] it is `F = ? N`.

```work
A = ? mm^2
V = ? m/s
F = ? N
G = F/2 = ? N
```

```check
F rises with Q
F varies as Q^2
G < 1 kN
```
";

/// Two problems that ask much of the same, below a part that both share.
const PROVED: &str = "\
---
title: Proofs
---

```given
k = 2
g = 9.81 m/s^2
p_atm = 101 kPa
```

```derive
f(a) = a^2 + k
law: E = m v^2/2
therefore v^2 = 2 E/m
```

# First

Of [law] it is `E = ? J`.

```given
h = 3 m
m = 2 kg
x = 5
z = 0 m
b = 4 m
theta = 30 deg
F = (2, 3) N
p_1 = 240 kPa gauge
```

```derive
fall: v^2 = 2 g h
therefore v = sqrt(2 g h)
therefore E = m g h
q = f(x)
therefore q - k = x^2
therefore sqrt(q - k) = x
w = v cos(theta)
therefore w = sqrt(3) v/2
r = (b - z) u
therefore u = r/(b - z)
therefore u = r/b
F.x u = F.x i
therefore u = i
solve fall for h with h > 0
p_2 = absolute(p_1)
therefore gauge(p_2) = p_1
P = (P_x, P_y)
G = 2 P
therefore G = P + (P_x, P_y)
s^2 = b^2 + t^2
therefore s = 2 sqrt(b^2 + t^2)
```

```work
v = ? m/s
E = ? J
q = ?
```

```check
E rises with m
q varies as x^2
```

# Second

```given
h = 2 m
m = 1 kg
c = 7
```

```derive
fall: v^2 = 2 g h
therefore v = sqrt(2 g h)
therefore E = m g h
n = f(c)
therefore n - k = c^2
solve law for m
```

```work
v = ? m/s
E = ? J
```
";

const SWAPS: &[(&str, &str)] = &[
    ("k = 2", "k = 2.5"),
    ("k = 2", "k = -2"),
    ("h = 3 m", "h = 0 m"),
    ("h = 3 m", "h = -1 m"),
    ("m = 2 kg", "m = 2.25 kg"),
    ("x = 5", "x = -5"),
    ("x = 5", "x = 5.5"),
    ("z = 0 m", "z = 4 m"),
    ("z = 0 m", "z = 1 m"),
    ("theta = 30 deg", "theta = 60 deg"),
    ("theta = 30 deg", "theta = 31 deg"),
    ("p_atm = 101 kPa\n", ""),
    ("f(a) = a^2 + k", "f(a) = a^2 + 2 k"),
    ("f(a) = a^2 + k", "f(a) = a^2 +"),
    ("f(a) = a^2 + k", "f(a) = cases(a for a > 1, k otherwise)"),
    ("E = m v^2/2", "E = m v^2"),
    ("v^2 = 2 g h", "v^2 = 3 g h"),
    ("v^2 = 2 g h", "v^2 = 2 g"),
    ("therefore v = sqrt(2 g h)", "therefore v = -sqrt(2 g h)"),
    ("therefore E = m g h", "therefore E = 2 m g h"),
    ("therefore q", "j = y\ntherefore q"),
    ("with h > 0", "with h < 0"),
    ("with h > 0", ""),
    ("h > 0", "h > 0 in full"),
    ("P = (P_x, P_y)", "P = (P_x, P_y, 0)"),
    ("G = 2 P", "G = 3 P"),
    ("F = (2,", "F = (0,"),
    ("r = (b - z) u", "r = (b + z) u"),
    ("s = 2 sqrt", "s = sqrt"),
    ("q = f(x)", "n = f(x)"),
    ("w = v cos", "w = V cos"),
    ("# Second", "# Title"),
    ("# First\n", "# First\n\nWords.\n"),
];
