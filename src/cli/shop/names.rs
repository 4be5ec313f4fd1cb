//! The names of everything in a folder for a shop.

use crate::cli::manifest;
use crate::press::pictures;
use crate::words::Words;

/// What goes to the shop.
pub(crate) const UPLOAD: &str = "upload/";
/// What is pasted and shown there.
pub(crate) const SHOW: &str = "show/";
/// What the maker keeps: nothing of it is for a buyer.
pub(crate) const KEEP: &str = "keep/";
/// The record of the edition.
pub(crate) const RECORD: &str = "keep/pattern.toml";
/// The note of what changed.
pub(crate) const CHANGES: &str = "keep/CHANGES.txt";
/// Where record and note lay in folders of earlier versions, which had no parts, and their folder of pictures.
pub(crate) const EARLIER: [&str; 2] = ["pattern.toml", "CHANGES.txt"];
const EARLIER_PICTURES: &str = "pictures/";
/// What is pasted: names of files in [`SHOW`], and their endings.
pub(crate) const PASTED: [(&str, &str); 4] =
    [("titles-and-tags", ".txt"), ("description", ".txt"), ("materials", ".txt"), ("materials", ".md")];
/// What a buyer may do.
pub(crate) const LICENCE: &str = "licence.txt";

/// Whether a file of a shop folder may have this name; a folder's name ends in a slash.
pub(crate) fn is_name(name: &str) -> bool {
    let is_pdf = |name: &str| name.ends_with(".pdf") && !name.contains('/');
    let is_picture = |name: &str| pictures::is_name(name);
    let is_language = |tag: &str| Words::languages().any(|known| known == tag);
    let is_licence = |name: &str| {
        let other = name.strip_prefix("licence-").and_then(|rest| rest.strip_suffix(".txt"));
        name == LICENCE || other.is_some_and(is_language)
    };
    let is_amounts = |name: &str| {
        let ending = [".csv", ".json"].iter().find_map(|ending| name.strip_suffix(ending));
        ending.is_some_and(|stem| stem == "amounts" || stem.starts_with("amounts-"))
    };
    let is_pasted = |name: &str| {
        PASTED.iter().any(|(stem, ending)| {
            let other = name.strip_prefix(stem).and_then(|rest| rest.strip_suffix(ending));
            other.is_some_and(|tag| tag.is_empty() || tag.strip_prefix('-').is_some_and(is_language))
        })
    };
    match name.split_once('/') {
        Some((_, "")) => [UPLOAD, SHOW, KEEP, EARLIER_PICTURES].contains(&name),
        Some(("upload", file)) => is_pdf(file) || is_licence(file),
        Some(("show", file)) => is_picture(file) || is_pasted(file),
        Some(("keep", file)) => is_pdf(file) || is_amounts(file) || [RECORD, CHANGES].contains(&name),
        Some(("pictures", file)) => is_picture(file),
        Some(_) => false,
        None => {
            name == manifest::NAME || is_pdf(name) || is_licence(name) || is_amounts(name) || EARLIER.contains(&name)
        }
    }
}
