//! What a screen reader is told of the pages: for each piece its title, its composer and what else
//! stands over it as text, and of each system which bars it has and what words stand in it.

use std::num::NonZeroU16;

use krilla::geom::Rect;
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, BBox, ContentTag, Identifier, Node, SpanTag, Tag, TagGroup, TagKind,
    TagTree,
};
use score::legible;

use super::ink::{Pens, points};
use crate::frame::{Block, BlockKind, Frame, Ink, Item, Picture, Role};
use crate::units::{Mm, Sp};

/// The level of the titles of pieces.
const TITLE_LEVEL: NonZeroU16 = NonZeroU16::MIN;

/// The tags of a book while its pages are drawn.
#[derive(Default)]
pub(super) struct Tags {
    /// The pieces that are begun.
    pieces: Vec<TagGroup>,
    /// What was drawn last.
    before: Option<BlockKind>,
}

impl Tags {
    /// Draws a page, and remembers what is on it.
    pub(super) fn page(
        &mut self,
        number: usize,
        picture: &Picture,
        pens: &Pens,
        surface: &mut Surface<'_>,
    ) {
        for block in &picture.blocks {
            match block.kind {
                BlockKind::Running => {
                    let header = Artifact::with_kind(ArtifactType::Header);
                    surface.start_tagged(ContentTag::Artifact(header));
                    pens.ink(block, picture.space, surface);
                    surface.end_tagged();
                }
                BlockKind::Title | BlockKind::Notes | BlockKind::Text => {
                    self.begin_piece(block.kind);
                    self.title(block, picture.space, pens, surface);
                }
                BlockKind::Incipits
                | BlockKind::System(_)
                | BlockKind::Copy(_)
                | BlockKind::Plan => {
                    self.begin_piece(block.kind);
                    let place = Place { page: number, space: picture.space };
                    self.figure(block, place, pens, surface);
                }
            }
        }
    }

    /// Remembers a link on the page that was drawn last.
    pub(super) fn link(&mut self, annotation: Identifier) {
        self.push(TagGroup::with_children(Tag::Link, vec![annotation.into()]));
    }

    /// The tree of all pages.
    pub(super) fn tree(self) -> TagTree {
        let mut tree = TagTree::new();
        for piece in self.pieces {
            tree.push(piece);
        }
        tree
    }

    /// Begins a piece with the first of its blocks, whichever it has.
    fn begin_piece(&mut self, kind: BlockKind) {
        let begins = match kind {
            BlockKind::Title => true,
            BlockKind::Incipits => self.before != Some(BlockKind::Title),
            BlockKind::System(1) | BlockKind::Copy(1) => {
                // Music inside a page of words begins no piece.
                !matches!(
                    self.before,
                    Some(
                        BlockKind::Title | BlockKind::Incipits | BlockKind::Plan | BlockKind::Text
                    )
                )
            }
            BlockKind::System(_)
            | BlockKind::Copy(_)
            | BlockKind::Notes
            | BlockKind::Running
            | BlockKind::Plan
            | BlockKind::Text => false,
        };
        if begins || self.pieces.is_empty() {
            self.pieces.push(TagGroup::new(Tag::Section));
        }
        self.before = Some(kind);
    }

    fn push(&mut self, node: impl Into<Node>) {
        if let Some(piece) = self.pieces.last_mut() {
            piece.push(node);
        }
    }

    /// The lines over a piece: those of one kind that follow one another are one paragraph.
    fn title(&mut self, block: &Block, space: Mm, pens: &Pens, surface: &mut Surface<'_>) {
        let is_words = |item: &&Item| matches!(item.ink, Ink::Letters { .. });
        let (words_of, rules): (Vec<&Item>, Vec<&Item>) =
            block.frame.items.iter().partition(is_words);
        if !rules.is_empty() {
            // A line between words says nothing.
            let items = rules.into_iter().cloned().collect();
            let frame = Frame { items, ..Frame::default() };
            surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Other)));
            pens.ink(&Block { frame, ..*block }, space, surface);
            surface.end_tagged();
        }
        for lines in words_of.chunk_by(|one, two| is_one(one, two)) {
            let leaf = |line: &&Item| -> Identifier {
                let id = surface.start_tagged(ContentTag::Span(SpanTag::empty()));
                pens.words(line, block, space, surface);
                surface.end_tagged();
                id
            };
            let leaves: Vec<Node> = lines.iter().map(leaf).map(Node::from).collect();
            let Some(first) = lines.first() else { continue };
            // The language of these words is not known.
            let unknown = Some(String::new());
            let kind: TagKind = if first.role == Role::Title {
                let title = words(lines.iter().copied(), &[Role::Title]).join(" ");
                Tag::Hn(TITLE_LEVEL, Some(title)).with_lang(unknown).into()
            } else {
                Tag::P.with_lang(unknown).into()
            };
            self.push(TagGroup::with_children(kind, leaves));
        }
    }

    /// What is described and not read: a system, or the incipits.
    fn figure(&mut self, block: &Block, place: Place, pens: &Pens, surface: &mut Surface<'_>) {
        let drawn = surface.start_tagged(ContentTag::Other);
        pens.ink(block, place.space, surface);
        surface.end_tagged();
        // Signs of music are no text.
        let signs =
            surface.start_tagged(ContentTag::Span(SpanTag::empty().with_actual_text(Some(""))));
        pens.music(block, place.space, surface);
        surface.end_tagged();
        let tag = Tag::Figure(Some(described(block))).with_bbox(place.around(block));
        self.push(TagGroup::with_children(tag, vec![drawn.into(), signs.into()]));
    }
}

/// A page, from 0, and its staff space.
#[derive(Clone, Copy)]
struct Place {
    page: usize,
    space: Mm,
}

impl Place {
    /// The rectangle around a block.
    fn around(self, block: &Block) -> Option<BBox> {
        let area = block.frame.area?;
        let x = |length: Sp| points(block.x + self.space * length.0);
        let y = |length: Sp| points(block.y + self.space * length.0);
        let rect = Rect::from_ltrb(x(area.left), y(area.top), x(area.right), y(area.bottom))?;
        Some(BBox::new(self.page, rect))
    }
}

/// Whether two lines over a piece belong to one paragraph.
fn is_one(one: &Item, two: &Item) -> bool {
    one.role == two.role && matches!(one.role, Role::Title | Role::Note | Role::SheetWords)
}

/// The words of some roles.
fn words<'i>(items: impl IntoIterator<Item = &'i Item>, roles: &[Role]) -> Vec<String> {
    let said = |item: &Item| match &item.ink {
        Ink::Letters { letters, .. } if roles.contains(&item.role) => {
            Some(legible(&letters.text).into_owned())
        }
        _ => None,
    };
    items.into_iter().filter_map(said).collect()
}

/// A system or a row of incipits in a sentence.
fn described(block: &Block) -> String {
    let items = &block.frame.items;
    if block.kind == BlockKind::Plan {
        // The numbers of its bars tell nobody anything.
        let mut said = words(items, &[Role::PlanWords]);
        said.retain(|words| words.contains(|letter: char| !letter.is_ascii_digit()));
        return format!("Plan: {}", said.join("; "));
    }
    if let BlockKind::Copy(number) = block.kind {
        let words = words(items, &[Role::VoiceName, Role::Words, Role::Reading]);
        let words =
            if words.is_empty() { String::new() } else { format!(": {}", words.join("; ")) };
        return format!("Row {number} of the copy{words}");
    }
    let BlockKind::System(number) = block.kind else {
        let names = words(items, &[Role::VoiceName]).join(", ");
        return format!("The original clefs, first notes and ranges of {names}");
    };
    let bars = || items.iter().filter_map(|item| item.of).map(|of| of.bar_number);
    let bars = match (bars().min(), bars().max()) {
        (Some(first), Some(last)) if first < last => format!(", bars {first} to {last}"),
        (Some(only), _) => format!(", bar {only}"),
        _ => String::new(),
    };
    let words = words(items, &[Role::Words, Role::MarkWords]);
    let words = if words.is_empty() { String::new() } else { format!(": {}", words.join("; ")) };
    format!("System {number}{bars}{words}")
}
