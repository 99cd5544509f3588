//! What the invented families wear: colour, fabric, hem, hair and shoes of every look.

use fairspell_studio::{Hair, Hem, session::Look};

use Hem::{Ankle, Floor, Knee};

/// A family, a look, its colour, fabric and hem, its hair and its shoes.
type Row = (&'static str, &'static str, &'static str, &'static str, Hem, Hair, &'static str);

#[rustfmt::skip]
const WARDROBE: [Row; 29] = [
    ("amara", "blazer", "navy", "wool", Ankle, Hair::Up, "loafers"),
    ("amara", "rust knit", "rust", "knit", Knee, Hair::Down, "boots"),
    ("amara", "cream dress", "cream", "crepe", Knee, Hair::Down, "sandals"),
    ("linh", "white linen", "white", "linen", Knee, Hair::Down, "sandals"),
    ("linh", "denim", "blue", "denim", Ankle, Hair::Down, "boots"),
    ("linh", "sage satin", "sage", "satin", Ankle, Hair::Up, "heels"),
    ("callum", "suit", "charcoal", "wool", Ankle, Hair::Short, "leather shoes"),
    ("callum", "football top", "green and gold", "sports jersey", Knee, Hair::Short, "trainers"),
    ("callum", "jumper", "cream", "knit", Ankle, Hair::Short, "boots"),
    ("soraya", "navy dress", "navy", "wool crepe", Knee, Hair::Down, "block heels"),
    ("soraya", "school", "grey", "wool", Knee, Hair::Braided, "school shoes"),
    ("soraya", "coat", "camel brown", "wool", Knee, Hair::Down, "boots"),
    ("mateo", "guayabera", "white", "linen", Ankle, Hair::Short, "loafers"),
    ("mateo", "jacket", "blue", "denim", Ankle, Hair::Short, "boots"),
    ("mateo", "surf", "blue", "neoprene", Hem::Short, Hair::Short, "barefoot"),
    ("freya", "blue dress", "blue", "cotton print", Ankle, Hair::Down, "barefoot"),
    ("freya", "grey dress", "mid-grey", "jersey", Floor, Hair::Up, "heels"),
    ("freya", "cello", "black", "velvet", Floor, Hair::HalfUp, "flat shoes"),
    ("jonah", "tapa vest", "brown", "bark cloth", Ankle, Hair::Curled, "sandals"),
    ("jonah", "suit", "charcoal", "wool", Ankle, Hair::Up, "leather shoes"),
    ("jonah", "tee", "white", "cotton", Ankle, Hair::Down, "trainers"),
    ("priyanka", "sari", "plum", "silk", Floor, Hair::Braided, "gold heels"),
    ("priyanka", "jeans", "blue", "denim", Ankle, Hair::Down, "trainers"),
    ("priyanka", "gown", "wine", "chiffon", Floor, Hair::Up, "silver heels"),
    ("elodie", "white tulle", "white", "tulle", Floor, Hair::Curled, "barefoot"),
    ("elodie", "linen", "cream", "linen", Knee, Hair::Down, "sandals"),
    ("elodie", "school", "green", "wool", Knee, Hair::Braided, "school shoes"),
    ("bea-otto", "summer clothes, both", "blue", "print", Knee, Hair::Down, "trainers"),
    ("bea-otto", "dressed up, both", "wine", "crepe", Ankle, Hair::Up, "heels"),
];

/// Looks of fabrics that no table names, on which drops show; whether they stay.
const DROPS_SHOW: [(&str, bool); 4] =
    [("cream dress", false), ("tapa vest", true), ("gown", false), ("dressed up, both", false)];

/// A family's look of a name at a spot, as it is worn; bare where the wardrobe lacks it.
pub(super) fn worn(family: &str, name: &str, spot: &str) -> Look {
    let drops = DROPS_SHOW.iter().find(|(shows, _)| *shows == name);
    let bare = Look { name: name.to_owned(), spot: spot.to_owned(), ..Look::default() };
    let is_it = |row: &&Row| row.0 == family && row.1 == name;
    let Some(&(_, _, colour, fabric, hem, hair, shoes)) = WARDROBE.iter().find(is_it) else {
        return bare;
    };
    Look {
        shows_drops: drops.is_some(),
        marks_for_good: drops.is_some_and(|(_, stay)| *stay),
        colour: Some(colour.to_owned()),
        fabric: Some(fabric.to_owned()),
        hem: Some(hem),
        hair: Some(hair),
        shoes: Some(shoes.to_owned()),
        ..bare
    }
}
