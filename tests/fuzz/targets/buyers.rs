//! A list of buyers: read, and each name turned into a file's.

#![no_main]

use hitchpress::buyers;
use hitchpress::diag::{Report, SourceId};
use hitchpress::pdf::copies;
use libfuzzer_sys::fuzz_target;
use std::collections::{BTreeMap, BTreeSet};

fuzz_target!(|text: &str| {
    let (mut taken, mut given) = (BTreeMap::new(), BTreeSet::new());
    for buyer in buyers::read(text, SourceId(0), &mut Report::new()) {
        let parts = [buyer.name.as_str(), buyer.order.as_deref().unwrap_or_default()];
        let name = copies::file_name("booklet", &parts, &mut taken);
        assert!(!name.contains(['/', '\\', ':']) && !name.starts_with('.'), "`{name}` is not safe");
        assert!(given.insert(name.clone()), "two copies would be called `{name}`");
    }
});
