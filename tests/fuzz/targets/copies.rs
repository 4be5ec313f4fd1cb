//! A PDF from anywhere, to be copied for a buyer.

#![no_main]

use hitchpress::compose::licence_line;
use hitchpress::font::FontBook;
use hitchpress::pdf::copies::Master;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(master) = Master::open(bytes) else { return };
    let book = FontBook::shipped();
    let words = "Licensed to Ada Fernley, order 17";
    if let Ok(line) = licence_line::set(words, master.room(), &book, "en-GB") {
        let _made = master.copy(&line, &book, words);
    }
});
