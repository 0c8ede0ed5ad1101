#include "tests/sim/capture_property.hpp"

#include "sim/capture_file.hpp"
#include "sim/capture_play.hpp"

namespace nestcup::sim {

namespace {

bool same(const Capture& a, const Capture& b) {
  if (a.pieces.size() != b.pieces.size()) return false;
  for (std::size_t i = 0; i < a.pieces.size(); ++i) {
    const CapturedBytes &x = a.pieces[i], &y = b.pieces[i];
    if (x.offset_us != y.offset_us || x.from_device != y.from_device || x.bytes != y.bytes) {
      return false;
    }
  }
  return true;
}

std::optional<std::string> broken_play(const Capture& capture) {
  CapturePlay play(capture, 5);
  std::string said, all;
  TimeUs now_us = 5;
  for (const CapturedBytes& piece : capture.pieces) {
    if (piece.from_device) {
      all += piece.bytes;
      const auto next_us = play.next_us();
      // Said already, together with what was due at the same time.
      if (!next_us) continue;
      if (*next_us < now_us) return "the past is due";
      now_us = *next_us;
      said += play.due(now_us);
    } else {
      play.hear(piece.bytes, now_us);
    }
  }
  if (!play.done()) return "a play has no end";
  if (said != all) return "a play says something else";
  return std::nullopt;
}

}  // namespace

std::optional<std::string> broken_capture_property(std::string_view text) {
  const auto capture = parse_capture(text, "fuzz");
  if (!capture) {
    if (!capture.error().text.starts_with("fuzz:")) return "no place: " + capture.error().text;
    return std::nullopt;
  }
  const auto again = parse_capture(capture_text(*capture), "again");
  if (!again) return "its own text is refused: " + again.error().text;
  if (!same(*capture, *again)) return "its own text gives another capture";
  return broken_play(*capture);
}

}  // namespace nestcup::sim
