//! A page, taken apart.

use std::cell::RefCell;
use std::io::Cursor;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use flac_codec::decode::{FlacSampleReader, Metadata};
use html5ever::tendril::StrTendril;
use html5ever::tokenizer::states::RawKind;
use html5ever::tokenizer::{BufferQueue, TagKind, Token, TokenSink, TokenSinkResult, Tokenizer};
use ropus::{Channels, DecodeMode, Decoder};
use serde_json::Value;

/// An element's beginning, and the text up to the next tag.
#[derive(Debug, Clone, Default)]
pub struct Element {
    pub name: String,
    pub attributes: Vec<(String, String)>,
    pub text: String,
}

impl Element {
    pub fn get(&self, attribute: &str) -> Option<&str> {
        self.attributes.iter().find(|(name, _)| name == attribute).map(|(_, value)| value.as_str())
    }
}

/// Markup as the HTML standard's tokenizer reads it.
pub fn elements(html: &str) -> Vec<Element> {
    #[derive(Default)]
    struct Sink(RefCell<Vec<Element>>);
    impl TokenSink for Sink {
        type Handle = ();

        fn process_token(&self, token: Token, _: u64) -> TokenSinkResult<()> {
            let mut all = self.0.borrow_mut();
            match token {
                Token::TagToken(tag) if tag.kind == TagKind::StartTag => {
                    let attribute = |attribute: &html5ever::Attribute| {
                        (attribute.name.local.to_string(), attribute.value.to_string())
                    };
                    let attributes = tag.attrs.iter().map(attribute).collect();
                    let name = tag.name.to_string();
                    all.push(Element { name: name.clone(), attributes, text: String::new() });
                    return match name.as_str() {
                        "script" => TokenSinkResult::RawData(RawKind::ScriptData),
                        "style" => TokenSinkResult::RawData(RawKind::Rawtext),
                        "title" | "textarea" => TokenSinkResult::RawData(RawKind::Rcdata),
                        _ => TokenSinkResult::Continue,
                    };
                }
                // Text behind an end tag is nobody's here.
                Token::TagToken(_) => all.push(Element::default()),
                Token::CharacterTokens(text) => {
                    if let Some(last) = all.last_mut() {
                        last.text.push_str(&text);
                    }
                }
                _ => {}
            }
            TokenSinkResult::Continue
        }
    }
    let queue = BufferQueue::default();
    queue.push_back(StrTendril::from(html));
    let tokenizer = Tokenizer::new(Sink::default(), Default::default());
    let _ = tokenizer.feed(&queue);
    tokenizer.end();
    tokenizer.sink.0.take()
}

pub struct Page {
    pub html: String,
    pub elements: Vec<Element>,
    pub data: Value,
    /// What is sealed, opened.
    pub opened: Value,
}

impl Page {
    #[track_caller]
    pub fn parse(bytes: &[u8]) -> Self {
        let html = String::from_utf8(bytes.to_vec()).unwrap();
        let elements = elements(&html);
        let by_id = |id: &str| elements.iter().find(|element| element.get("id") == Some(id)).unwrap();
        let data: Value = serde_json::from_str(&by_id("data").text).unwrap();
        let sealed = STANDARD.decode(data["sealed"].as_str().unwrap()).unwrap();
        let opened = serde_json::from_slice(&open(data["pack"].as_str().unwrap(), &sealed)).unwrap();
        Self { html, elements, data, opened }
    }

    /// Keys in the order as recorded, setups, rescue, anchor.
    pub fn order(&self) -> Vec<String> {
        self.opened["order"].as_array().unwrap().iter().map(|key| key.as_str().unwrap().to_owned()).collect()
    }

    /// What is sealed of the sound at a place of that order.
    pub fn sound(&self, index: usize) -> &Value {
        &self.opened["sounds"][&self.order()[index]]
    }

    /// Its bytes.
    pub fn block(&self, index: usize) -> Vec<u8> {
        let key = &self.order()[index];
        let stored = self.data["sounds"].as_array().unwrap();
        let stored = stored.iter().find(|sound| sound["key"] == key.as_str()).unwrap();
        let block =
            self.elements.iter().find(|element| element.get("id") == stored["block"].as_str()).unwrap();
        assert_eq!((block.name.as_str(), block.get("type")), ("script", Some("text/plain")));
        STANDARD.decode(&block.text).unwrap()
    }

    /// Interleaved samples as a decoder gives them.
    pub fn decoded(&self, index: usize) -> Vec<f64> {
        let bytes = self.block(index);
        if self.data["codec"] == "flac" { flac(&bytes) } else { opus(&bytes) }
    }
}

/// The seal of the page's format: bytes against a xorshift stream (13, 17, 5) from the first 8 digits of the pack's name, after 8 values
/// that are passed over.
fn open(pack: &str, sealed: &[u8]) -> Vec<u8> {
    assert_eq!(pack.len(), 16);
    let mut state = u32::from_str_radix(&pack[..8], 16).unwrap().max(1);
    let mut next = || {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        state
    };
    for _ in 0..8 {
        next();
    }
    sealed.iter().map(|byte| byte ^ u8::try_from(next() >> 24).unwrap()).collect()
}

fn flac(bytes: &[u8]) -> Vec<f64> {
    let mut reader = FlacSampleReader::new(Cursor::new(bytes)).unwrap();
    assert_eq!(reader.bits_per_sample(), 24);
    let (mut all, mut block) = (Vec::new(), vec![0; 8192]);
    loop {
        match reader.read(&mut block).unwrap() {
            0 => return all,
            count => all.extend(block[..count].iter().map(|value| f64::from(*value) / 8_388_608.0)),
        }
    }
}

/// By the rules of RFC 7845: what comes before the pre-skip and after the last page's position is dropped.
fn opus(bytes: &[u8]) -> Vec<f64> {
    let mut reader = ogg::PacketReader::new(Cursor::new(bytes));
    let head = reader.read_packet().unwrap().unwrap().data;
    assert_eq!((&head[..8], head[8]), (b"OpusHead".as_slice(), 1));
    let channels = usize::from(head[9]);
    let skip = usize::from(u16::from_le_bytes([head[10], head[11]]));
    assert!(reader.read_packet().unwrap().unwrap().data.starts_with(b"OpusTags"));
    let layout = if channels == 1 { Channels::Mono } else { Channels::Stereo };
    let mut decoder = Decoder::new(48_000, layout).unwrap();
    let (mut all, mut end, mut ended) = (Vec::new(), 0, false);
    while let Some(packet) = reader.read_packet().unwrap() {
        assert!(!ended, "packets behind the end");
        let mut pcm = vec![0.0_f32; 5760 * channels];
        let frames = decoder.decode_float(&packet.data, &mut pcm, DecodeMode::Normal).unwrap();
        all.extend(pcm[..frames * channels].iter().map(|value| f64::from(*value)));
        end = usize::try_from(packet.absgp_page()).unwrap();
        ended = packet.last_in_stream();
        if packet.last_in_page() && !ended {
            assert_eq!(end * channels, all.len(), "a page's position");
        }
    }
    assert!(ended);
    all[skip * channels..end * channels].to_vec()
}
