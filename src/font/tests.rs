use super::*;
use std::collections::BTreeSet;

#[test]
fn every_role_has_its_shipped_face() {
    let book = FontBook::shipped();
    let names: Vec<&str> = Role::ALL.iter().map(|role| book.face(book.role(*role)).name.as_str()).collect();
    // Origin: the name tables of the files in fonts/ (name id 6), read with another program.
    let expected = [
        "SourceSerif4-Regular",
        "SourceSerif4-It",
        "SourceSerif4-Semibold",
        "SourceSans3-Regular",
        "SourceSans3-Semibold",
        "DejaVuSans",
    ];
    assert_eq!(names, expected);
    for role in Role::ALL {
        assert_eq!(Role::from_name(role.name()), Some(role));
    }
}
