use fairspell_studio::{
    LookTable,
    look_table::{FabricRow, Pairing, Verdict},
};

use crate::{desk::Desk, forms::fields_of};

const HERE: &str = "/studio/looks";

/// What a browser would send of the page, with some fields otherwise.
async fn but(desk: &Desk, changed: &[(&str, &str)]) -> Vec<(String, String)> {
    let mut fields = fields_of(&desk.get(HERE).await.text, HERE);
    fields.retain(|(name, _)| changed.iter().all(|(other, _)| other != name));
    fields.extend(changed.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())));
    fields
}

fn sent(fields: &[(String, String)]) -> Vec<(&str, &str)> {
    fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect()
}

#[tokio::test]
async fn rows_are_changed_added_and_emptied_in_one_form_and_undone() {
    let desk = Desk::open().await;
    let before = desk.studio().await.look_table;
    assert_eq!((before.fabrics.len(), before.pairings.len()), (2, 2));
    let fields = but(
        &desk,
        &[
            // The first fabric goes, the second dries otherwise, one more comes after an empty row.
            ("fabric-0-name", ""),
            ("fabric-0-drops", ""),
            ("fabric-0-marks", ""),
            ("fabric-1-dries", "45"),
            ("fabric-3-name", "Organza"),
            ("fabric-3-shape", "yes"),
            ("pairing-1-verdict", "shines"),
            ("pairing-2-colour", "teal"),
            ("pairing-2-backdrop", "brick"),
            ("pairing-2-verdict", "suits"),
            ("humid", "82"),
            ("hair_gust", "30"),
            ("shoes", "heels\n\n wedges "),
        ],
    )
    .await;
    let saved = desk.post(HERE, &sent(&fields)).await;
    assert_eq!(saved.status, 303, "{}", saved.text);
    let table = desk.studio().await.look_table;
    let fabric = |name: &str| FabricRow { name: name.to_owned(), ..FabricRow::default() };
    assert_eq!(
        table.fabrics,
        [
            FabricRow { dries_min: Some(45), ..before.fabrics[1].clone() },
            FabricRow { collapses_wet: true, ..fabric("Organza") },
        ]
    );
    assert_eq!(table.pairings[1].verdict, Verdict::Shines);
    let teal = Pairing {
        colour: "teal".to_owned(),
        backdrop: Some("brick".to_owned()),
        verdict: Verdict::Suits,
    };
    assert_eq!(table.pairings[2..], [teal]);
    assert_eq!((table.humid_from_percent, table.hair_gust_from_km_h), (82, 30));
    assert_eq!(table.sinking_shoes, ["heels", "wedges"]);
    desk.undo(&saved).await;
    assert_eq!(desk.studio().await.look_table, before);
}

#[tokio::test]
async fn what_cannot_be_is_said_beside_its_row_and_nothing_typed_is_lost() {
    let desk = Desk::open().await;
    let before = desk.studio().await.look_table;
    for (changed, field) in [
        (&[("fabric-2-name", "LINEN")][..], "fabric-2-name"),
        (&[("fabric-2-drops", "yes")], "fabric-2-name"),
        (&[("fabric-1-dries", "1441")], "fabric-1-dries"),
        (&[("fabric-1-dries", "soon")], "fabric-1-dries"),
        (&[("fabric-2-name", "--")], "fabric-2-name"),
        (&[("pairing-2-colour", "Red")], "pairing-2-colour"),
        (&[("pairing-2-backdrop", "brick")], "pairing-2-colour"),
        (&[("pairing-1-verdict", "nonsense")], "pairing-1-verdict"),
        (&[("humid", "101")], "humid"),
        (&[("hair_gust", "")], "hair_gust"),
        (&[("shoes", "heels\nHEELS")], "shoes"),
    ] {
        let fields = but(&desk, changed).await;
        let page = desk.post(HERE, &sent(&fields)).await;
        assert_eq!(page.status, 200, "{changed:?}: {}", page.location);
        page.says(&format!("id=\"{field}-wrong\"")).says("Nothing is saved yet.");
        page.says("value=\"satin\"").says("value=\"grey sky\"");
    }
    assert_eq!(desk.studio().await.look_table, before);
}

#[tokio::test]
async fn common_practice_fills_the_form_and_saves_nothing() {
    let desk = Desk::open().await;
    let before = desk.studio().await.look_table;
    let page = desk.post(HERE, &[("do", "usual")]).await;
    page.says("value=\"tulle\"").says("value=\"green wood\"");
    assert_eq!(desk.studio().await.look_table, before);
    let fields = fields_of(&page.text, HERE);
    desk.post(HERE, &sent(&fields)).await;
    assert_eq!(desk.studio().await.look_table, LookTable::default());
}
