//! Objects that stand after a remark in a stream of objects. Programs that write files for people to read put one before every
//! object (ISO 32000-1, 7.2.4 allows them wherever white space is), and the parser gives up on these objects.

use lopdf::xref::XrefEntry;
use lopdf::{Document, Object, ObjectId, ObjectStream, Stream};
use std::collections::{BTreeMap, BTreeSet};

/// Takes objects into the document that its list of objects names and that were not found in their streams.
pub(super) fn objects_after_remarks(document: &mut Document, most: usize) {
    let mut missing: BTreeMap<u32, BTreeSet<u32>> = BTreeMap::new();
    for (number, entry) in &document.reference_table.entries {
        if let XrefEntry::Compressed { container, .. } = entry
            && !document.objects.contains_key(&(*number, 0))
        {
            missing.entry(*container).or_default().insert(*number);
        }
    }
    for (container, numbers) in missing {
        let found = objects(document, container, most);
        document.objects.extend(found.into_iter().filter(|(id, _)| numbers.contains(&id.0)));
    }
}

fn objects(document: &Document, container: u32, most: usize) -> BTreeMap<ObjectId, Object> {
    let Ok(packed) = document.get_object((container, 0)).and_then(Object::as_stream) else { return BTreeMap::new() };
    let Ok(mut bytes) = packed.get_plain_content_with_limit(most) else { return BTreeMap::new() };
    blank(&mut bytes);
    let mut plain = Stream::new(packed.dict.clone(), bytes);
    plain.dict.remove(b"Filter");
    plain.dict.remove(b"DecodeParms");
    ObjectStream::new_with_limit(&mut plain, Some(most)).map(|read| read.objects).unwrap_or_default()
}

/// Writes spaces over remarks; within strings a per cent sign begins none.
fn blank(bytes: &mut [u8]) {
    let (mut at, mut open) = (0, 0_usize);
    while let Some(&byte) = bytes.get(at) {
        match (byte, open) {
            (b'\\', 1..) => at += 1,
            (b'(', _) => open += 1,
            (b')', 1..) => open -= 1,
            (b'%', 0) => {
                let end = bytes[at..].iter().position(|byte| matches!(byte, b'\n' | b'\r'));
                let end = end.map_or(bytes.len(), |length| at + length);
                bytes[at..end].fill(b' ');
                at = end;
            }
            _ => {}
        }
        at += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn remarks_are_blanked_and_strings_are_not() {
        let mut bytes = b"1 0 2 9\n%% one (\n<</A (5 % \\) (%) 6)>> % two\r[(%)]%".to_vec();
        blank(&mut bytes);
        assert_eq!(bytes, b"1 0 2 9\n        \n<</A (5 % \\) (%) 6)>>      \r[(%)] ");
    }
}
