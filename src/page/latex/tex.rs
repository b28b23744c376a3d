//! Which TeX of an author compiles as it stands.
//!
//! The converter that makes MathML of it knows more commands than `amsmath`, and forgives more.
//! What is read here is a small part of TeX's mathematics: every command, its arguments and every
//! script are known.

/// Commands that stand for themselves, in rows by what they are.
const SYMBOLS: &[&str] = &[
    "alpha beta gamma delta epsilon varepsilon zeta eta theta vartheta iota kappa lambda mu nu xi",
    "pi varpi rho varrho sigma varsigma tau upsilon phi varphi chi psi omega Gamma Delta Theta",
    "Lambda Xi Pi Sigma Upsilon Phi Psi Omega",
    "times div cdot ast star circ bullet pm mp cap cup wedge vee oplus otimes",
    "le leq ge geq ne neq approx equiv sim simeq cong propto ll gg prec succ in notin ni subset",
    "supset subseteq supseteq parallel perp mid to gets rightarrow leftarrow Rightarrow Leftarrow",
    "leftrightarrow Leftrightarrow longrightarrow mapsto uparrow downarrow iff implies",
    "infty partial nabla forall exists emptyset hbar ell Re Im angle prime dagger degree therefore",
    "because ldots cdots vdots ddots dots sum prod int iint iiint oint",
    "sin cos tan cot sec csc arcsin arccos arctan sinh cosh tanh exp ln log lg max min sup inf lim",
    "det dim gcd arg quad qquad lbrace rbrace lbrack rbrack langle rangle lfloor rfloor lceil rceil",
    "lvert rvert lVert rVert vert Vert , ; : ! { } % & # _ $",
];

/// Commands with one argument in mathematics.
const ONE: &str = "hat bar vec dot ddot tilde check breve acute grave widehat widetilde overline \
                   underline overbrace underbrace overrightarrow mathbf mathrm mathit mathsf mathtt \
                   boldsymbol operatorname boxed";

/// Commands for capital letters: their fonts have other things at the places of the rest.
const CAPITALS: &str = "mathcal mathbb";

/// Commands with two.
const TWO: &str = "frac dfrac tfrac cfrac binom dbinom tbinom overset underset stackrel";

/// Commands whose argument is text.
const WORDS: &str = "text textrm textbf textit";

/// What may stand behind `\left` and `\right`; a bar is one, too.
const FENCES: &[&str] = &[
    "(", ")", "[", "]", "|", ".", "/", "\\{", "\\}", "\\lbrace", "\\rbrace", "\\langle",
    "\\rangle", "\\lvert", "\\rvert", "\\lVert", "\\rVert", "\\vert", "\\Vert", "\\|", "\\lfloor",
    "\\rfloor", "\\lceil", "\\rceil",
];

/// Environments with rows.
const ENVIRONMENTS: &str = "matrix pmatrix bmatrix Bmatrix vmatrix Vmatrix cases aligned gathered \
                            smallmatrix";

/// So many columns stand in a matrix of `amsmath`.
const MOST_COLUMNS: usize = 10;

/// Whether a formula is known to compile with `amsmath` and `amssymb`.
pub(super) fn compiles(tex: &str) -> bool {
    let mut reader = Reader { rest: tex };
    reader.list(&mut None).is_some() && reader.rest.is_empty()
}

/// Reads from the left; nothing is what is not known to compile.
struct Reader<'t> {
    rest: &'t str,
}

impl<'t> Reader<'t> {
    /// Symbols up to something that closes; `columns` counts them where rows are divided.
    fn list(&mut self, columns: &mut Option<usize>) -> Option<()> {
        loop {
            self.blanks();
            match self.rest.chars().next() {
                None | Some('}') => return Some(()),
                Some('&') => {
                    let count = columns.as_mut()?;
                    *count += 1;
                    (*count < MOST_COLUMNS).then_some(())?;
                    self.rest = &self.rest[1..];
                }
                Some('\\') if self.rest.starts_with("\\\\") => {
                    *columns.as_mut()? = 0;
                    self.rest = &self.rest[2..];
                    self.blanks();
                    // A bracket would be taken for the height of the row.
                    (!self.rest.starts_with(['[', '*'])).then_some(())?;
                }
                Some('\\') if self.at_command("right") || self.at_command("end") => {
                    return Some(());
                }
                Some(_) => {
                    self.nucleus()?;
                    self.scripts()?;
                }
            }
        }
    }

    fn blanks(&mut self) {
        self.rest = self.rest.trim_start_matches([' ', '\t', '\n', '\r', '~']);
    }

    fn at_command(&self, word: &str) -> bool {
        let after = self
            .rest
            .strip_prefix('\\')
            .and_then(|rest| rest.strip_prefix(word));
        after.is_some_and(|rest| !rest.starts_with(|next: char| next.is_ascii_alphabetic()))
    }

    /// A character, a group or a command with its arguments.
    fn nucleus(&mut self) -> Option<()> {
        let first = self.rest.chars().next()?;
        match first {
            '{' => self.group(),
            '\\' => self.command(),
            'a'..='z' | 'A'..='Z' | '0'..='9' => self.skip(first),
            '+' | '-' | '=' | '<' | '>' | '(' | ')' | '[' | ']' | '|' | '/' | '*' | '.' | ','
            | ';' | ':' | '!' | '?' => self.skip(first),
            _ => None,
        }
    }

    fn skip(&mut self, first: char) -> Option<()> {
        self.rest = &self.rest[first.len_utf8()..];
        Some(())
    }

    fn group(&mut self) -> Option<()> {
        self.rest = self.rest.strip_prefix('{')?;
        self.list(&mut None)?;
        self.rest = self.rest.strip_prefix('}')?;
        Some(())
    }

    /// Primes, one superscript and one subscript.
    fn scripts(&mut self) -> Option<()> {
        let (mut above, mut below) = (false, false);
        loop {
            self.blanks();
            let seen = match self.rest.chars().next() {
                Some('\'') if !above => {
                    self.rest = self.rest.trim_start_matches('\'');
                    above = true;
                    continue;
                }
                Some('^') => &mut above,
                Some('_') => &mut below,
                Some('\'') => return None,
                _ => return Some(()),
            };
            (!std::mem::replace(seen, true)).then_some(())?;
            self.rest = &self.rest[1..];
            self.argument()?;
        }
    }

    /// A group, a character, or a symbol without arguments.
    fn argument(&mut self) -> Option<()> {
        self.blanks();
        let first = self.rest.chars().next()?;
        match first {
            '{' => self.group(),
            '\\' => {
                let name = self.name()?;
                is_symbol(name).then_some(())
            }
            letter if letter.is_ascii_alphanumeric() || "+-*/.,=".contains(letter) => {
                self.skip(first)
            }
            _ => None,
        }
    }

    /// The name of a command: letters, or one other character.
    fn name(&mut self) -> Option<&'t str> {
        let rest = self.rest.strip_prefix('\\')?;
        let letters = rest
            .find(|next: char| !next.is_ascii_alphabetic())
            .unwrap_or(rest.len());
        let length = letters.max(rest.chars().next()?.len_utf8());
        let (name, after) = rest.split_at(length);
        self.rest = after;
        Some(name)
    }

    fn command(&mut self) -> Option<()> {
        let name = self.name()?;
        if is_symbol(name) {
            Some(())
        } else if has(ONE, name) {
            self.argument()
        } else if has(TWO, name) {
            self.argument()?;
            self.argument()
        } else if has(WORDS, name) {
            self.words()
        } else if has(CAPITALS, name) {
            self.capitals()
        } else {
            match name {
                "sqrt" => self.root(),
                "left" => self.fenced(),
                "begin" => self.environment(),
                _ => None,
            }
        }
    }

    fn root(&mut self) -> Option<()> {
        self.blanks();
        if let Some(rest) = self.rest.strip_prefix('[') {
            let (index, rest) = rest.split_once(']')?;
            index
                .chars()
                .all(|it| it.is_ascii_alphanumeric())
                .then_some(())?;
            self.rest = rest;
        }
        self.argument()
    }

    /// The argument of a text command: plain words.
    fn words(&mut self) -> Option<()> {
        self.blanks();
        let (words, rest) = self.rest.strip_prefix('{')?.split_once('}')?;
        let is_plain =
            |letter: char| letter.is_ascii_alphanumeric() || " .,;:()/+-=!?".contains(letter);
        words.chars().all(is_plain).then_some(())?;
        self.rest = rest;
        Some(())
    }

    fn capitals(&mut self) -> Option<()> {
        self.blanks();
        let before = self.rest;
        self.argument()?;
        let length = before.len() - self.rest.len();
        let is_capital = |byte: u8| byte.is_ascii_uppercase() || b"{} ".contains(&byte);
        before[..length].bytes().all(is_capital).then_some(())
    }

    fn fenced(&mut self) -> Option<()> {
        self.fence()?;
        self.list(&mut None)?;
        (self.name()? == "right").then_some(())?;
        self.fence()
    }

    fn fence(&mut self) -> Option<()> {
        self.blanks();
        let is_here = |fence: &&&str| {
            let after = self.rest.strip_prefix(**fence);
            let is_word = fence.ends_with(|last: char| last.is_ascii_alphabetic());
            after.is_some_and(|rest| {
                !(is_word && rest.starts_with(|next: char| next.is_ascii_alphabetic()))
            })
        };
        let fence = FENCES.iter().find(is_here)?;
        self.rest = &self.rest[fence.len()..];
        Some(())
    }

    fn environment(&mut self) -> Option<()> {
        let (name, rest) = self.rest.strip_prefix('{')?.split_once('}')?;
        self.rest = rest;
        if name == "array" {
            let (columns, rest) = self.rest.strip_prefix('{')?.split_once('}')?;
            let are_plain = columns.chars().all(|it| matches!(it, 'l' | 'c' | 'r'));
            (are_plain && !columns.is_empty()).then_some(())?;
            self.rest = rest;
            // A row has no more cells than there are columns.
            let cells = self.rest.split("\\\\").map(|row| row.matches('&').count());
            (cells.max()? < columns.len()).then_some(())?;
        } else {
            has(ENVIRONMENTS, name).then_some(())?;
        }
        self.list(&mut Some(0))?;
        (self.name()? == "end").then_some(())?;
        self.rest = self
            .rest
            .strip_prefix('{')?
            .strip_prefix(name)?
            .strip_prefix('}')?;
        Some(())
    }
}

fn is_symbol(name: &str) -> bool {
    SYMBOLS.iter().any(|row| has(row, name))
}

fn has(row: &str, name: &str) -> bool {
    row.split_whitespace().any(|known| known == name)
}

#[cfg(test)]
mod tests {
    use super::compiles;

    #[test]
    fn formulas_as_they_are_written_in_prose_compile() {
        for tex in [
            r"x_1^2",
            r"\frac{1}{2}\rho V^2",
            r"\frac 1 2",
            r"\sqrt[3]{a_{ij}} \left( \frac{p}{\rho g} \right)^2",
            r"\begin{pmatrix} a & b \\ c & d \end{pmatrix}",
            r"\begin{array}{lr} a & b \\ c & d \end{array}",
            r"f'(x) = \lim_{h \to 0} \text{rise, run}",
            r"\mathbb{R}^3 \mathcal L",
            r"\hat{\mathbf{n}} \cdot \nabla \times \vec F",
        ] {
            assert!(compiles(tex), "{tex}");
        }
    }

    #[test]
    fn what_may_stop_a_run_is_not_taken() {
        for tex in [
            r"\input{/etc/passwd}",
            r"\def\a{\a}\a",
            r"x^a^b",
            r"x'^2",
            r"x_a_b",
            r"\frac{a}",
            r"{",
            r"}",
            r"a & b",
            r"a \\ b",
            r"\left( x",
            r"\right)",
            r"a % b",
            r"a # b",
            r"a $ b",
            r"é",
            r"\text{$}",
            r"x^",
            r"x^\frac12",
            r"\end{matrix}",
            r"\begin{array}{l} a & b \end{array}",
            r"\begin{matrix} a \\[1pt] b \end{matrix}",
            r"\begin{align} a \end{align}",
            r"\sqrt[\x]{a}",
            r"\mathbb{1}",
            r"\mathcal a",
            "^",
            "\\",
        ] {
            assert!(!compiles(tex), "{tex}");
        }
    }
}
