//! The maker's own words: a small part of CommonMark (0.31) to blocks. Paragraphs, headings, lists, numbered steps, *italic*,
//! **strong**, links and pictures; what else CommonMark knows is told, and its words are kept without its signs. A leaf, and the only
//! door to `pulldown-cmark`.

use crate::markup::{Inline, LinkTarget, Text, unmarked};
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

/// One thing said.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum OwnBlock {
    /// A paragraph.
    Paragraph(Text),
    /// A heading, whatever its level.
    Heading(Text),
    /// A list with bullets.
    Bullets(Vec<Text>),
    /// A list with numbers.
    Steps(Vec<Text>),
    /// A picture by itself.
    Picture(OwnPicture),
}

/// A picture that the maker names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct OwnPicture {
    /// Its file, as she writes it.
    pub(crate) file: String,
    /// What it shows.
    pub(crate) alt: String,
    /// What stands below it; empty: nothing.
    pub(crate) caption: String,
}

/// What was read.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct OwnText {
    /// The blocks in order.
    pub(crate) blocks: Vec<OwnBlock>,
    /// Mark-up that is not printed, each kind once: what it is in the maker's words.
    pub(crate) unsupported: Vec<&'static str>,
    /// Addresses of links as they are written.
    pub(crate) addresses: Vec<String>,
}

impl OwnText {
    /// Its pictures.
    pub(crate) fn pictures(&self) -> impl Iterator<Item = &OwnPicture> {
        self.blocks.iter().filter_map(|block| match block {
            OwnBlock::Picture(picture) => Some(picture),
            OwnBlock::Paragraph(_) | OwnBlock::Heading(_) | OwnBlock::Bullets(_) | OwnBlock::Steps(_) => None,
        })
    }
}

/// Reads the words. Nothing in them is an error.
pub(crate) fn read(words: &str) -> OwnText {
    let mut reader = Reader::default();
    // Asked for only to be told of: otherwise their signs would be printed.
    let others = Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH | Options::ENABLE_TASKLISTS;
    for event in Parser::new_ext(words, others) {
        reader.event(event);
    }
    reader.close();
    reader.out
}

#[derive(Default)]
struct Reader {
    out: OwnText,
    /// The text that is being read.
    text: Text,
    strong: usize,
    italic: usize,
    /// The address of the link that is open.
    link: Option<String>,
    /// File and title of the picture whose words are being read.
    picture: Option<(String, String)>,
    /// Lists within each other, each with whether it is numbered.
    lists: Vec<bool>,
}

impl Reader {
    fn event(&mut self, event: Event<'_>) {
        match event {
            Event::Start(tag) => self.start(tag),
            Event::End(tag) => self.end(tag),
            Event::Text(words) => self.say(&words),
            Event::Code(words) => {
                self.tell("words between backticks");
                self.say(&words);
            }
            Event::SoftBreak | Event::HardBreak => self.say(" "),
            Event::Rule => self.tell("a line of dashes"),
            Event::Html(_) | Event::InlineHtml(_) => self.tell("HTML"),
            Event::TaskListMarker(_) => self.tell("a box to tick"),
            // Only read where they are asked for.
            Event::FootnoteReference(_) | Event::InlineMath(_) | Event::DisplayMath(_) => {}
        }
    }

    fn start(&mut self, tag: Tag<'_>) {
        match tag {
            Tag::Strong => self.strong += 1,
            Tag::Emphasis => self.italic += 1,
            Tag::Link { dest_url, .. } => {
                self.out.addresses.push(dest_url.to_string());
                self.link = Some(dest_url.to_string());
            }
            Tag::Image { dest_url, title, .. } => {
                self.close();
                self.picture = Some((dest_url.to_string(), title.to_string()));
            }
            Tag::List(first) => {
                if !self.lists.is_empty() {
                    self.tell("a list inside a list");
                }
                // An entry's own words end where a list inside it begins.
                self.close();
                self.lists.push(first.is_some());
            }
            Tag::BlockQuote(_) => self.tell("a quotation with `>`"),
            Tag::CodeBlock(_) => self.tell("lines set in by four spaces, or between backticks"),
            Tag::Strikethrough => self.tell("words struck out"),
            Tag::Table(_) => {
                self.tell("a table");
                self.close();
            }
            Tag::TableCell if !self.text.is_empty() => self.say(", "),
            Tag::Item | Tag::Paragraph | Tag::Heading { .. } => self.close(),
            _ => {}
        }
    }

    fn end(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::Strong => self.strong = self.strong.saturating_sub(1),
            TagEnd::Emphasis => self.italic = self.italic.saturating_sub(1),
            TagEnd::Link => self.link = None,
            TagEnd::Image => {
                let alt = unmarked(&self.taken());
                if let Some((file, caption)) = self.picture.take() {
                    self.out.blocks.push(OwnBlock::Picture(OwnPicture { file, alt, caption }));
                }
            }
            TagEnd::Heading(_) => {
                let text = self.taken();
                if !text.is_empty() {
                    self.out.blocks.push(OwnBlock::Heading(text));
                }
            }
            TagEnd::List(_) => {
                self.close();
                self.lists.pop();
            }
            TagEnd::Paragraph
            | TagEnd::Item
            | TagEnd::CodeBlock
            | TagEnd::BlockQuote(_)
            | TagEnd::TableHead
            | TagEnd::TableRow => self.close(),
            _ => {}
        }
    }

    fn say(&mut self, words: &str) {
        let inline = match (&self.link, self.strong, self.italic) {
            (Some(address), _, _) => Inline::Address(words.to_owned(), LinkTarget::to(address)),
            (None, 1.., _) => Inline::Strong(words.to_owned()),
            (None, 0, 1..) => Inline::Italic(words.to_owned()),
            (None, 0, 0) => Inline::Plain(words.to_owned()),
        };
        match (self.text.last_mut(), inline) {
            (Some(Inline::Plain(before)), Inline::Plain(more))
            | (Some(Inline::Strong(before)), Inline::Strong(more))
            | (Some(Inline::Italic(before)), Inline::Italic(more)) => before.push_str(&more),
            (Some(Inline::Address(before, to)), Inline::Address(more, too)) if *to == too => before.push_str(&more),
            (_, inline) => self.text.push(inline),
        }
    }

    fn tell(&mut self, what: &'static str) {
        if !self.out.unsupported.contains(&what) {
            self.out.unsupported.push(what);
        }
    }

    /// What was read so far, without spaces at its end.
    fn taken(&mut self) -> Text {
        let mut text = std::mem::take(&mut self.text);
        if let Some(Inline::Plain(last)) = text.last_mut() {
            last.truncate(last.trim_end().len());
        }
        text.retain(|inline| !matches!(inline, Inline::Plain(words) if words.is_empty()));
        text
    }

    /// Ends a paragraph or an entry.
    fn close(&mut self) {
        let text = self.taken();
        if text.is_empty() {
            return;
        }
        // A list inside a list goes on with the outer one.
        match (self.lists.first(), self.out.blocks.last_mut()) {
            (Some(true), Some(OwnBlock::Steps(entries))) | (Some(false), Some(OwnBlock::Bullets(entries))) => {
                entries.push(text);
            }
            (Some(true), _) => self.out.blocks.push(OwnBlock::Steps(vec![text])),
            (Some(false), _) => self.out.blocks.push(OwnBlock::Bullets(vec![text])),
            (None, _) => self.out.blocks.push(OwnBlock::Paragraph(text)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(words: &str) -> Text {
        vec![Inline::Plain(words.to_owned())]
    }

    #[test]
    fn paragraphs_lists_steps_and_headings_are_told_apart() {
        let found = read(
            "First line\nof it.\n\n# Washing\n- cold\n- with *care*\n  and time\n\n1. Wet it.\n2. Wait.\n\nIt took 12 evenings.\n1990. was the year.",
        );
        let [
            OwnBlock::Paragraph(first),
            OwnBlock::Heading(head),
            OwnBlock::Bullets(list),
            OwnBlock::Steps(steps),
            last,
        ] = found.blocks.as_slice()
        else {
            panic!("{found:?}");
        };
        assert_eq!((first, head), (&plain("First line of it."), &plain("Washing")));
        assert_eq!(list.len(), 2);
        assert_eq!(list[1][1], Inline::Italic("care".to_owned()));
        assert_eq!(list[1][2], Inline::Plain(" and time".to_owned()));
        assert_eq!(steps.len(), 2);
        // CommonMark 0.31, section 5.3: only a list that begins with 1 interrupts a paragraph.
        assert_eq!(*last, OwnBlock::Paragraph(plain("It took 12 evenings. 1990. was the year.")));
        assert!(found.unsupported.is_empty());
    }

    #[test]
    fn links_lead_where_they_say() {
        let found = read("See [my **page**](https://example.org/a) or <https://example.org/b>.");
        let [OwnBlock::Paragraph(text)] = found.blocks.as_slice() else { panic!("{found:?}") };
        assert_eq!(text[1], Inline::Address("my page".to_owned(), LinkTarget::to("https://example.org/a")));
        assert_eq!(found.addresses, ["https://example.org/a", "https://example.org/b"]);
    }

    #[test]
    fn what_is_not_printed_is_told_and_loses_its_signs() {
        let found = read(
            "> Quoted\n\n- one\n  - two\n\n`three` <b>four</b> ![five](six.png)\n\n***\n\n| wash | dry |\n|---|---|\n| cold | flat |\n\n- [ ] done ~~not~~ for ~5 minutes\n",
        );
        assert_eq!(
            found.unsupported,
            [
                "a quotation with `>`",
                "a list inside a list",
                "words between backticks",
                "HTML",
                "a line of dashes",
                "a table",
                "a box to tick",
                "words struck out",
            ]
        );
        let words: Vec<String> = found
            .blocks
            .iter()
            .map(|block| match block {
                OwnBlock::Paragraph(text) | OwnBlock::Heading(text) => crate::markup::unmarked(text),
                OwnBlock::Bullets(entries) | OwnBlock::Steps(entries) => {
                    entries.iter().map(|text| crate::markup::unmarked(text)).collect::<Vec<_>>().join(" / ")
                }
                OwnBlock::Picture(picture) => format!("{} <{}>", picture.alt, picture.file),
            })
            .collect();
        assert_eq!(
            words,
            [
                "Quoted",
                "one / two",
                "three four",
                "five <six.png>",
                "wash, dry",
                "cold, flat",
                "done not for ~5 minutes"
            ]
        );
    }
}
