//! Who names whom: modules of `src` with the modules that their `use` lines and paths lead to.
//!
//! A name that is passed on by `pub use` leads to the file it is defined in, so a room's door does not count as knowing
//! what stands behind it. Code of tests is left out: tests may look wherever they like.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

type Name = Vec<String>;

/// A file of `src`.
pub struct Module {
    /// From `src` on, with slashes.
    pub file: String,
    /// Files it names, each with the path that leads there.
    pub knows: BTreeMap<String, String>,
    /// First parts of paths that lead out of the crate, or to a name of the file's own.
    pub outside: BTreeSet<String>,
}

impl Module {
    /// The first folder, or the file's own name.
    pub fn room(&self) -> &str {
        room(&self.file)
    }
}

/// The room of a file.
pub fn room(file: &str) -> &str {
    file.split('/').next().unwrap_or_default().trim_end_matches(".rs")
}

/// All files of `src` but tests and the root of the library.
pub fn modules() -> Vec<Module> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut code = BTreeMap::new();
    for path in files(&root) {
        let file = path.strip_prefix(&root).unwrap().to_string_lossy().replace('\\', "/");
        if is_test(&file) || file == "lib.rs" {
            continue;
        }
        code.insert(file, without_reach(&plain(&std::fs::read_to_string(&path).unwrap())));
    }
    assert!(code.len() > 150, "the sources were not found");
    let names: BTreeMap<Name, String> = code.keys().map(|file| (name_of(file), file.clone())).collect();
    let passed: BTreeMap<Name, BTreeMap<String, Name>> =
        names.iter().map(|(name, file)| (name.clone(), passed_on(&code[file]))).collect();
    let crate_ = Crate { names: &names, passed: &passed };
    let knows = |name: &Name, file: &str| -> BTreeMap<String, String> {
        let mut out = BTreeMap::new();
        for (path, is_door) in paths(&code[file]) {
            let Some(to) = crate_.absolute(name, &path) else { continue };
            // A door names what it passes on and knows nothing of it.
            if is_door && to.starts_with(name) {
                continue;
            }
            if let Some(to) = crate_.file(&to, 0).filter(|to| to != file) {
                out.entry(to).or_insert_with(|| path.join("::"));
            }
        }
        out
    };
    let outside = |name: &Name, file: &str| -> BTreeSet<String> {
        let inside = |path: &Name| crate_.absolute(name, path).is_some();
        // A name that a `use` line has brought in from another file is no crate's.
        let brought: BTreeSet<String> =
            used(&code[file]).into_iter().filter(|(path, _)| inside(path)).map(|(_, name)| name).collect();
        let out = paths(&code[file]).into_iter().filter(|(path, _)| !inside(path));
        out.filter_map(|(path, _)| path.into_iter().next()).filter(|first| !brought.contains(first)).collect()
    };
    names
        .iter()
        .map(|(name, file)| Module { file: file.clone(), knows: knows(name, file), outside: outside(name, file) })
        .collect()
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut out = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            out.extend(files(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
    out
}

fn is_test(file: &str) -> bool {
    file.split('/').any(|part| part == "tests" || part == "tests.rs" || part == "sketch.rs")
}

/// `pdf/impose/mod.rs` is `pdf::impose`, and so is `pdf/impose.rs`.
fn name_of(file: &str) -> Name {
    let mut name: Name = file.trim_end_matches(".rs").split('/').map(str::to_owned).collect();
    if name.last().is_some_and(|last| last == "mod") {
        name.pop();
    }
    name
}

/// `pub(in crate::room)` says who may see a name, and knows nothing of the room.
fn without_reach(code: &str) -> String {
    let mut parts = code.split("pub(in ");
    let mut out = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        out.push_str("pub");
        out.push_str(part.split_once(')').map_or("", |(_, after)| after));
    }
    out
}

/// Code without comments, texts and the tests at its end.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let skipped = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if c == '"' {
            out.push_str("\"\"");
            text_end(rest)
        } else if let Some(end) = raw_text_end(rest) {
            out.push_str("\"\"");
            end
        } else if let Some(end) = letter_end(rest) {
            out.push_str("' '");
            end
        } else {
            let word: usize = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').map(char::len_utf8).sum();
            let taken = word.max(c.len_utf8());
            out.push_str(&rest[..taken]);
            taken
        };
        rest = &rest[skipped..];
    }
    out.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default().to_owned()
}

/// Where a text in quotation marks ends.
fn text_end(text: &str) -> usize {
    let mut escaped = false;
    for (at, c) in text.char_indices().skip(1) {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return at + 1,
            _ => {}
        }
    }
    text.len()
}

/// Where `r"..."` or `r#"..."#` ends.
fn raw_text_end(text: &str) -> Option<usize> {
    let after = text.strip_prefix("br").or_else(|| text.strip_prefix('r'))?;
    let marks = after.chars().take_while(|c| *c == '#').count();
    let inside = after[marks..].strip_prefix('"')?;
    let close = format!("\"{}", "#".repeat(marks));
    Some(text.len() - inside.len() + inside.find(&close)? + close.len())
}

/// Where a letter in single quotation marks ends; `None` for a lifetime.
fn letter_end(text: &str) -> Option<usize> {
    let inside = text.strip_prefix('\'')?;
    let letter = inside.chars().next()?;
    if letter == '\\' {
        return inside[2..].find('\'').map(|at| at + 4);
    }
    inside[letter.len_utf8()..].starts_with('\'').then(|| letter.len_utf8() + 2)
}

/// Every path of the code, and whether it is one that a room passes on.
fn paths(code: &str) -> Vec<(Name, bool)> {
    let mut out = Vec::new();
    let mut body = String::new();
    let mut rest = code;
    while let Some(at) = next_use(rest) {
        let (before, line) = rest.split_at(at);
        body.push_str(before);
        let end = line.find(';').unwrap_or(line.len());
        let is_door = before.trim_end().ends_with("pub") || before.trim_end().ends_with("pub(crate)");
        out.extend(tree(&line["use".len()..end]).into_iter().map(|(path, _)| (path, is_door)));
        rest = &line[end..];
    }
    body.push_str(rest);
    let mut word = String::new();
    for c in body.chars().chain([' ']) {
        if c.is_alphanumeric() || c == '_' || c == ':' {
            word.push(c);
            continue;
        }
        let path: Name = word.trim_matches(':').split("::").map(str::to_owned).collect();
        if path.len() > 1 && path.iter().all(|part| !part.is_empty() && !part.contains(':')) {
            out.push((path, false));
        }
        word.clear();
    }
    out
}

/// What the `use` lines of the code bring in, each path with its name.
fn used(code: &str) -> Vec<(Name, String)> {
    let mut out = Vec::new();
    let mut rest = code;
    while let Some(at) = next_use(rest) {
        let line = &rest[at..];
        let end = line.find(';').unwrap_or(line.len());
        out.extend(tree(&line["use".len()..end]));
        rest = &line[end..];
    }
    out
}

/// Where the next `use` begins.
fn next_use(code: &str) -> Option<usize> {
    let is_word = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == '.');
    code.match_indices("use")
        .map(|(at, _)| at)
        .find(|&at| !is_word(code[..at].chars().next_back()) && code[at + 3..].starts_with([' ', '\n']))
}

/// The paths of a `use` line, each with the name it gets.
fn tree(line: &str) -> Vec<(Name, String)> {
    let line = line.trim();
    let Some(open) = line.find('{') else {
        let (path, given) = line.split_once(" as ").map_or((line, None), |(path, name)| (path, Some(name)));
        let mut path: Name = path.split("::").map(|part| part.trim().to_owned()).collect();
        if path.len() > 1 && path.last().is_some_and(|last| last == "self" || last == "*") {
            path.pop();
        }
        let name = given.map_or_else(|| path.last().cloned().unwrap_or_default(), |name| name.trim().to_owned());
        return vec![(path, name)];
    };
    let before: Name =
        line[..open].trim().trim_end_matches("::").split("::").filter(|p| !p.is_empty()).map(str::to_owned).collect();
    let inside = &line[open + 1..line.rfind('}').unwrap_or(line.len())];
    let mut depth = 0;
    let parts = inside.split(|c| {
        depth += i32::from(c == '{') - i32::from(c == '}');
        c == ',' && depth == 0
    });
    let mut out = Vec::new();
    for part in parts.map(str::trim).filter(|part| !part.is_empty()) {
        if part == "self" {
            out.push((before.clone(), before.last().cloned().unwrap_or_default()));
            continue;
        }
        out.extend(tree(part).into_iter().map(|(path, name)| ([before.clone(), path].concat(), name)));
    }
    out
}

/// Names that a module passes on, each with its path as written.
fn passed_on(code: &str) -> BTreeMap<String, Name> {
    let mut out = BTreeMap::new();
    for line in code.split(';') {
        let Some(at) = line.rfind("pub use ").or_else(|| line.rfind("pub(crate) use ")) else { continue };
        let after = &line[at..];
        let from = after.find("use ").unwrap_or(0) + "use ".len();
        out.extend(tree(&after[from..]).into_iter().map(|(path, name)| (name, path)));
    }
    out
}

struct Crate<'a> {
    names: &'a BTreeMap<Name, String>,
    passed: &'a BTreeMap<Name, BTreeMap<String, Name>>,
}

impl Crate<'_> {
    /// A path as seen from a module, from the root of the crate on; `None`: it leads out of the crate.
    fn absolute(&self, from: &Name, path: &Name) -> Option<Name> {
        match path.first()?.as_str() {
            "crate" => Some(path[1..].to_vec()),
            "self" => Some([from.clone(), path[1..].to_vec()].concat()),
            "super" => {
                let up = path.iter().take_while(|part| *part == "super").count();
                let kept = from.len().checked_sub(up)?;
                Some([from[..kept].to_vec(), path[up..].to_vec()].concat())
            }
            first => {
                let child = [from.clone(), vec![first.to_owned()]].concat();
                self.names.contains_key(&child).then(|| [from.clone(), path.clone()].concat())
            }
        }
    }

    /// The file that a path from the root leads to.
    fn file(&self, path: &Name, depth: usize) -> Option<String> {
        let module = (0..=path.len()).rev().map(|end| &path[..end]).find(|part| self.names.contains_key(*part))?;
        let passed = path.get(module.len()).and_then(|name| self.passed[module].get(name));
        match passed.filter(|_| depth < 8) {
            Some(to) => {
                let to = self.absolute(&module.to_vec(), to)?;
                self.file(&[to, path[module.len() + 1..].to_vec()].concat(), depth + 1)
            }
            None => self.names.get(module).cloned(),
        }
    }
}

/// Sets of two and more that lead to one another.
pub fn circles(knows: &BTreeMap<String, BTreeSet<String>>) -> Vec<Vec<String>> {
    let reach = |from: &String| {
        let mut seen = BTreeSet::new();
        let mut open = vec![from];
        while let Some(at) = open.pop() {
            for next in knows.get(at).into_iter().flatten() {
                if seen.insert(next) {
                    open.push(next);
                }
            }
        }
        seen
    };
    let reached: BTreeMap<&String, BTreeSet<&String>> = knows.keys().map(|from| (from, reach(from))).collect();
    let mut out: Vec<Vec<String>> = Vec::new();
    for (from, to) in &reached {
        let set: Vec<String> = to
            .iter()
            .filter(|at| reached.get(**at).is_some_and(|back| back.contains(*from)))
            .map(|at| (*at).clone())
            .collect();
        if set.len() > 1 && !out.contains(&set) {
            out.push(set);
        }
    }
    out
}
