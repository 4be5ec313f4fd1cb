//! A row's line, understood: what it tells a knotter to tie, and what its brackets say besides.

/// Which yarn, as an index into the names she knows.
pub type YarnName = usize;

/// A row as told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowInstruction {
    /// "12", "H1".
    pub number: String,
    /// Whether it is to be worked from left to right.
    pub rightwards: bool,
    /// Runs and bare cords, in order.
    pub doings: Vec<Doing>,
}

/// One thing to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Doing {
    /// So many cords stay bare.
    Bare(usize),
    /// Knots of one yarn.
    Knots(Knots),
}

/// Knots of one yarn, and what the rule does not say of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Knots {
    /// How many.
    pub count: usize,
    /// Of which yarn.
    pub yarn: YarnName,
    /// A new length is joined.
    pub start: bool,
    /// The length that last tied in this row and column (from 1) is taken up.
    pub choice: Option<(String, usize)>,
    /// Crossed once round the yarn just used.
    pub link: bool,
    /// Cut after it.
    pub cut: bool,
}

struct Reading<'a> {
    rest: &'a str,
    names: &'a [String],
}

/// Whether a word is a row's number.
pub fn is_number(word: &str) -> bool {
    let digits = word.strip_prefix('H').unwrap_or(word);
    !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit())
}

/// Understands a row's line; what it says where it cannot be understood.
pub fn understood(line: &str, names: &[String]) -> Result<Vec<Doing>, String> {
    // Spaces that no line ends at are spaces to a reader.
    let line = &line.replace('\u{a0}', " ");
    let mut reading = Reading { rest: line, names };
    reading.line().ok_or_else(|| format!("not understood from `{}` on: {line}", reading.rest))
}

impl Reading<'_> {
    fn says(&mut self, words: &str) -> bool {
        match self.rest.strip_prefix(words) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }
    fn must(&mut self, words: &str) -> Option<()> {
        self.says(words).then_some(())
    }
    fn number(&mut self) -> Option<usize> {
        let end = self.rest.find(|c: char| !c.is_ascii_digit() && c != ',').unwrap_or(self.rest.len());
        // A comma after a number ends a clause; between digits it parts thousands.
        let digits = self.rest[..end].trim_end_matches(',');
        let value = digits.replace(',', "").parse().ok()?;
        self.rest = &self.rest[digits.len()..];
        Some(value)
    }
    /// The longest name that stands here.
    fn yarn(&mut self) -> Option<YarnName> {
        let rest = self.rest;
        let here = self.names.iter().enumerate().filter(|(_, name)| rest.starts_with(name.as_str()));
        let (at, name) = here.max_by_key(|(_, name)| name.len())?;
        self.rest = &rest[name.len()..];
        Some(at)
    }

    fn line(&mut self) -> Option<Vec<Doing>> {
        if self.rest == "No knots: bare cord from edge to edge." {
            return Some(Vec::new());
        }
        let mut doings = Vec::new();
        loop {
            doings.push(self.doing()?);
            if !self.says(", ") {
                break;
            }
        }
        self.must(".")?;
        if self.rest.starts_with(" Measure: ") {
            self.rest = "";
        }
        self.rest.is_empty().then_some(doings)
    }

    fn doing(&mut self) -> Option<Doing> {
        let count = self.number()?;
        self.must(" ")?;
        if self.yarn_is_next() {
            let yarn = self.yarn()?;
            let mut knots = Knots { count, yarn, start: false, choice: None, link: false, cut: false };
            if self.says(" (") {
                loop {
                    self.bracket(&mut knots)?;
                    if !self.says("; ") {
                        break;
                    }
                }
                self.must(")")?;
            }
            return Some(Doing::Knots(knots));
        }
        self.must("bare")?;
        Some(Doing::Bare(count))
    }

    fn yarn_is_next(&self) -> bool {
        self.names.iter().any(|name| self.rest.starts_with(name.as_str()))
    }

    fn bracket(&mut self, knots: &mut Knots) -> Option<()> {
        if self.says("start") {
            knots.start = true;
        } else if self.says("link") {
            knots.link = true;
        } else if self.says("cut after") {
            knots.cut = true;
        } else {
            self.must("the one last tied in row ")?;
            let end = self.rest.find(',')?;
            let row = self.rest[..end].to_owned();
            self.rest = &self.rest[end..];
            self.must(", column ")?;
            knots.choice = Some((row, self.number()?));
        }
        Some(())
    }
}
