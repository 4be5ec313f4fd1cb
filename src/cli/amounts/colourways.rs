//! The colourways of a project as a machine reads them.

use crate::project::Project;
use serde::Serialize;

#[derive(Debug, Serialize)]
pub(crate) struct ColourwayMirror<'a> {
    pub(crate) name: &'a str,
    pub(crate) yarns: Vec<ColourwayYarn<'a>>,
}

#[derive(Debug, Serialize)]
pub(crate) struct ColourwayYarn<'a> {
    pub(crate) key: char,
    pub(crate) name: &'a str,
    pub(crate) colour: String,
    pub(crate) brand: Option<&'a str>,
    pub(crate) shade: Option<&'a str>,
}

/// The yarns of every colourway, for whoever buys for one of them.
pub(crate) fn colourways(project: &Project) -> Vec<ColourwayMirror<'_>> {
    let all = project.colourways.iter().filter(|_| project.is_for_all_colourways());
    all.map(|colourway| ColourwayMirror {
        name: &colourway.name,
        yarns: colourway
            .palette
            .iter()
            .map(|(_, yarn)| ColourwayYarn {
                key: yarn.key,
                name: &yarn.name,
                colour: yarn.colour.to_hex(),
                brand: yarn.brand.as_deref(),
                shade: yarn.shade.as_deref(),
            })
            .collect(),
    })
    .collect()
}
