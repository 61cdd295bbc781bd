//! Fonts for scripts that the face of the house lacks.
//!
//! They are compiled in, so that a paper is the same on every machine. Their licences lie beside them.

/// A font file and its `PostScript` name.
pub(super) struct Fallback {
    /// `PostScript` name.
    pub name: &'static str,
    /// The whole file.
    pub bytes: &'static [u8],
}

macro_rules! fallback {
    ($name:literal) => {
        Fallback { name: $name, bytes: include_bytes!(concat!("../fonts/scripts/", $name, ".ttf")) }
    };
}

/// The fonts, in the order in which they are asked for a character. The last two hold the scripts
/// of East Asia; `NanumSquare`, whose Chinese characters are blank, comes last.
pub(super) static FALLBACKS: [Fallback; 20] = [
    fallback!("NotoSansArabic-Regular"),
    fallback!("NotoSansHebrew-Regular"),
    fallback!("NotoSansArmenian-Regular"),
    fallback!("NotoSansGeorgian-Regular"),
    fallback!("NotoSansDevanagari-Regular"),
    fallback!("NotoSansBengali-Regular"),
    fallback!("NotoSansGujarati-Regular"),
    fallback!("NotoSansGurmukhi-Regular"),
    fallback!("NotoSansKannada-Regular"),
    fallback!("NotoSansMalayalam-Regular"),
    fallback!("NotoSansSinhala-Regular"),
    fallback!("NotoSansTamil-Regular"),
    fallback!("NotoSansTelugu-Regular"),
    fallback!("NotoSansThai-Regular"),
    fallback!("NotoSansLao-Regular"),
    fallback!("NotoSansKhmer-Regular"),
    fallback!("NotoSansMyanmar-Regular"),
    fallback!("NotoSansEthiopic-Regular"),
    fallback!("DroidSansFallbackFull"),
    fallback!("NanumSquareR"),
];
