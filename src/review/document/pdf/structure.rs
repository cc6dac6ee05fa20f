//! What the document is made of, beside where it stands on its pages: this is what is read aloud.

use std::num::NonZeroU16;

use krilla::tagging::{
    Identifier, ListNumbering, Node as TagNode, TableHeaderScope, Tag, TagGroup, TagKind, TagTree,
};

use crate::review::document::Level;

/// An element of the [`Structure`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Id(usize);

/// What an element is.
#[derive(Clone, Debug)]
pub enum Role {
    Heading(Level, String),
    Paragraph,
    List(ListNumbering),
    Item,
    Label,
    Body,
    Caption,
    Table,
    TableHead,
    TableBody,
    Row,
    ColumnHeading,
    RowHeading,
    Cell,
    /// With what it tells.
    Figure(String),
}

enum Part {
    Element(Id),
    Content(Identifier),
}

/// All elements, each below its parent.
#[derive(Default)]
pub struct Structure {
    elements: Vec<(Role, Vec<Part>)>,
    top: Vec<Id>,
}

impl Structure {
    /// An element at the end of another, or of the document.
    pub fn add(&mut self, parent: Option<Id>, role: Role) -> Id {
        let id = Id(self.elements.len());
        self.elements.push((role, Vec::new()));
        match parent {
            Some(parent) => self.elements[parent.0].1.push(Part::Element(id)),
            None => self.top.push(id),
        }
        id
    }

    /// Says that something drawn belongs to an element.
    pub fn holds(&mut self, id: Id, content: Identifier) {
        self.elements[id.0].1.push(Part::Content(content));
    }

    /// As it is written.
    pub fn tree(self, language: &str) -> TagTree {
        let Structure { elements, top } = self;
        let mut elements: Vec<Option<(Role, Vec<Part>)>> = elements.into_iter().map(Some).collect();
        let mut tree = TagTree::new().with_lang(Some(language.to_owned()));
        for id in top {
            tree.children.extend(group(&mut elements, id).map(TagNode::Group));
        }
        tree
    }
}

fn group(elements: &mut [Option<(Role, Vec<Part>)>], id: Id) -> Option<TagGroup> {
    let (role, parts) = elements[id.0].take()?;
    let mut group = TagGroup::new(tag(role));
    for part in parts {
        match part {
            Part::Element(id) => group
                .children
                .extend(self::group(elements, id).map(TagNode::Group)),
            Part::Content(content) => group.push(content),
        }
    }
    Some(group)
}

fn tag(role: Role) -> TagKind {
    match role {
        Role::Heading(level, text) => {
            let level = NonZeroU16::new(level as u16).unwrap_or(NonZeroU16::MIN);
            Tag::Hn(level, Some(text)).into()
        }
        Role::Paragraph => Tag::P.into(),
        Role::List(numbering) => Tag::L(numbering).into(),
        Role::Item => Tag::LI.into(),
        Role::Label => Tag::Lbl.into(),
        Role::Body => Tag::LBody.into(),
        Role::Caption => Tag::Caption.into(),
        Role::Table => Tag::Table.into(),
        Role::TableHead => Tag::THead.into(),
        Role::TableBody => Tag::TBody.into(),
        Role::Row => Tag::TR.into(),
        Role::ColumnHeading => Tag::TH(TableHeaderScope::Column).into(),
        Role::RowHeading => Tag::TH(TableHeaderScope::Row).into(),
        Role::Cell => Tag::TD.into(),
        Role::Figure(text) => Tag::Figure(Some(text)).into(),
    }
}
