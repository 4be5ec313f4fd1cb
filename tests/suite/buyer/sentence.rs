//! A row's sentence, understood: what the words tell a knotter to do, one thing after another.

/// Which yarn, as an index into the names she knows.
pub type YarnName = usize;

/// A row as told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// "12", "H1".
    pub number: String,
    /// Whether it is to be worked from left to right.
    pub rightwards: bool,
    /// Knots the row is said to have.
    pub knots: usize,
    /// What is to be done.
    pub doings: Vec<Doing>,
}

/// One thing to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Doing {
    /// Join a new length of this yarn.
    Start(YarnName),
    /// Pick up a waiting yarn.
    TakeUp { yarn: YarnName, behind: Option<usize>, since: Option<String> },
    /// Say which yarn is led, where it is not one just taken up.
    Lead(YarnName),
    /// Led behind the last so many knots, all of this yarn.
    BehindKnots(usize, YarnName),
    /// Led behind the last so many columns.
    BehindLast(usize),
    /// Led back behind the next so many columns.
    BackBehindNext(usize),
    /// Cross once round the yarn just used: the one used next, the one just used.
    Link(YarnName, YarnName),
    /// Tie so many.
    Knots(usize, YarnName),
    /// Let it hang.
    LeaveWaiting(YarnName),
    /// Cut it.
    Cut(YarnName),
    /// So many columns stay bare.
    Bare(usize),
}

struct Reading<'a> {
    rest: &'a str,
    names: &'a [String],
}

/// Whether a paragraph is a row's sentence.
pub fn is_row(words: &str) -> bool {
    let number = words.strip_prefix("Row ").and_then(|rest| rest.split([',', ' ']).next()).unwrap_or_default();
    let digits = number.strip_prefix('H').unwrap_or(number);
    !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit())
}

/// Understands a row's sentence; what it says where it cannot be understood.
pub fn understood(sentence: &str, names: &[String]) -> Result<Told, String> {
    let mut reading = Reading { rest: sentence, names };
    reading.row().ok_or_else(|| format!("not understood from `{}` on: {sentence}", reading.rest))
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
    fn until(&mut self, ends: &[char]) -> String {
        let end = self.rest.find(ends).unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        word.to_owned()
    }
    /// The longest name that stands here.
    fn yarn(&mut self) -> Option<YarnName> {
        let rest = self.rest;
        let here = self.names.iter().enumerate().filter(|(_, name)| rest.starts_with(name.as_str()));
        let (at, name) = here.max_by_key(|(_, name)| name.len())?;
        self.rest = &rest[name.len()..];
        Some(at)
    }

    fn row(&mut self) -> Option<Told> {
        self.must("Row ")?;
        let number = self.until(&[',']);
        self.must(", ")?;
        let rightwards = if self.says("left to right") {
            true
        } else {
            self.must("right to left")?;
            false
        };
        if self.says(". No knots: bare cord from edge to edge.") {
            return Some(Told { number, rightwards, knots: 0, doings: Vec::new() });
        }
        self.must(", ")?;
        let knots = self.number()?;
        self.must(if knots == 1 { " knot." } else { " knots." })?;
        let mut doings = Vec::new();
        while self.says(" ") {
            if self.rest.starts_with("Measure: ") {
                self.rest = "";
                break;
            }
            self.sentence(&mut doings)?;
        }
        self.rest.is_empty().then_some(Told { number, rightwards, knots, doings })
    }

    fn sentence(&mut self, doings: &mut Vec<Doing>) -> Option<()> {
        if self.says("Link ") {
            let yarn = self.yarn()?;
            self.must(" with ")?;
            doings.push(Doing::Link(yarn, self.yarn()?));
            return self.must(".");
        }
        if self.says("Leave ") {
            doings.push(Doing::Bare(self.bare()?));
            return self.must(" bare.");
        }
        if self.says("Start ") {
            doings.push(Doing::Start(self.yarn()?));
            self.must(": ")?;
        } else if self.says("Take up ") {
            let named = self.says("the ");
            let yarn = self.yarn()?;
            let (mut behind, mut since) = (None, None);
            if named {
                self.must(" waiting behind column ")?;
                behind = Some(self.number()?);
                if self.says(" since row ") {
                    since = Some(self.until(&[',', ':']));
                }
            }
            doings.push(Doing::TakeUp { yarn, behind, since });
            if self.says(", lead it loosely ") {
                doings.push(self.led()?);
            }
            self.must(": ")?;
        } else if self.says("Lead ") {
            doings.push(Doing::Lead(self.yarn()?));
            self.must(" loosely ")?;
            doings.push(self.led()?);
            self.must(": ")?;
        }
        self.tied(doings)
    }

    fn bare(&mut self) -> Option<usize> {
        if self.says("the last column") {
            return Some(1);
        }
        self.says("the last ");
        let count = self.number()?;
        self.must(if count == 1 { " column" } else { " columns" })?;
        Some(count)
    }

    fn led(&mut self) -> Option<Doing> {
        if self.says("behind the last column") {
            return Some(Doing::BehindLast(1));
        }
        if self.says("behind the last ") {
            let count = self.number()?;
            self.must(" columns")?;
            return Some(Doing::BehindLast(count));
        }
        if self.says("back behind the next column") {
            return Some(Doing::BackBehindNext(1));
        }
        if self.says("back behind the next ") {
            let count = self.number()?;
            self.must(" columns")?;
            return Some(Doing::BackBehindNext(count));
        }
        self.must("behind the ")?;
        let count = self.number()?;
        self.must(" ")?;
        Some(Doing::BehindKnots(count, self.yarn()?))
    }

    fn tied(&mut self, doings: &mut Vec<Doing>) -> Option<()> {
        let count = self.number()?;
        self.must(" ")?;
        let yarn = self.yarn()?;
        doings.push(Doing::Knots(count, yarn));
        if self.says(" (a new length after about ") {
            // An estimate: she joins one when her own runs short.
            let after = self.until(&[')']);
            let numbers = after.split(", ").flat_map(|part| part.split(" and "));
            numbers.map(|n| n.parse::<usize>().ok()).collect::<Option<Vec<_>>>()?;
            self.must(")")?;
        }
        if self.says("; leave ") {
            doings.push(Doing::LeaveWaiting(self.yarn()?));
            self.must(" waiting")?;
        } else if self.says("; cut ") {
            doings.push(Doing::Cut(self.yarn()?));
        }
        self.must(".")
    }
}
