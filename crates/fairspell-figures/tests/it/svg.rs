//! What the tests ask of a figure, read back by an XML parser that is not ours.

use roxmltree::{Document, Node};

/// Parses a figure and checks what holds for all of them: well formed, a picture with a name in
/// words, no number that is none, and nothing that a strict Content-Security-Policy forbids.
pub(crate) fn parsed(svg: &str) -> Document<'_> {
    let document = Document::parse(svg).unwrap_or_else(|error| panic!("{error}: {svg}"));
    let root = document.root_element();
    assert_eq!(root.tag_name().name(), "svg");
    assert_eq!(root.attribute("role"), Some("img"));
    let named = root
        .attribute("aria-labelledby")
        .expect("a name in words")
        .split(' ')
        .all(|id| document.descendants().any(|node| node.attribute("id") == Some(id)));
    assert!(named, "{svg}");
    for node in document.descendants().filter(Node::is_element) {
        assert!(!["script", "a", "image", "foreignObject"].contains(&node.tag_name().name()));
        for attribute in node.attributes() {
            let name = attribute.name();
            assert!(name != "style" && !name.starts_with("on"), "{name} in {svg}");
            assert!(name != "href" || attribute.value().starts_with('#'), "{name} in {svg}");
            let numeric =
                !["id", "class", "aria-labelledby", "font-family", "data-label"].contains(&name);
            let foreign = ["NaN", "inf"].iter().any(|word| attribute.value().contains(word));
            assert!(!(numeric && foreign), "{name}=\"{}\"", attribute.value());
        }
    }
    document
}

/// All text of `<text>` elements.
pub(crate) fn texts<'a>(document: &'a Document<'_>) -> Vec<&'a str> {
    let text = |node: Node<'a, '_>| node.has_tag_name("text").then(|| node.text()).flatten();
    document.descendants().filter_map(text).collect()
}

/// The path data of all elements that have a class.
pub(crate) fn paths(document: &Document<'_>, class: &str) -> String {
    let of_class = |node: &Node<'_, '_>| {
        node.attribute("class").is_some_and(|classes| classes.split(' ').any(|c| c == class))
    };
    document.descendants().filter(of_class).filter_map(|node| node.attribute("d")).collect()
}

/// The textures over cells in a part of a figure, with the path of the cells under each, in the order
/// of drawing.
pub(crate) fn textures<'a>(part: Node<'a, '_>) -> Vec<(&'a str, &'a str)> {
    let texture = |node: Node<'a, '_>| {
        let of = node.attribute("href")?.trim_start_matches('#');
        let cells = part.document().descendants().find(|node| node.attribute("id") == Some(of))?;
        Some((node.attribute("stroke")?.rsplit('-').nth(1)?, cells.attribute("d")?))
    };
    let uses = part.descendants().filter(|node| node.has_tag_name("use"));
    uses.map(|node| texture(node).expect("a texture over cells")).collect()
}

/// How many strokes of rain a figure has.
pub(crate) fn strokes(document: &Document<'_>) -> usize {
    paths(document, "rain").matches('M').count()
}

/// A number of an element.
pub(crate) fn number(node: Node<'_, '_>, attribute: &str) -> f64 {
    let value = node.attribute(attribute).expect("the attribute");
    value.parse().expect("a number")
}

/// The width and height that a figure is laid out in.
pub(crate) fn view_box(document: &Document<'_>) -> (f64, f64) {
    let values = document.root_element().attribute("viewBox").expect("a view box");
    let mut sides = values.split(' ').skip(2).map(|side| side.parse().expect("a number"));
    (sides.next().expect("a width"), sides.next().expect("a height"))
}
