#include "drivers/protocol/text_lines.hpp"

namespace nestcup::drivers {

bool TextLines::next(std::span<const char>& bytes, TextLine& line) {
  if (finished_) {
    held_.clear();
    finished_ = too_long_ = bad_byte_ = first_ = false;
  }
  while (!bytes.empty()) {
    const char byte = bytes.front();
    bytes = bytes.subspan(1);
    const bool belongs_to_cr = byte == '\n' && after_cr_;
    after_cr_ = byte == '\r';
    if (belongs_to_cr) continue;
    if (byte == '\r' || byte == '\n') {
      finished_ = true;
      line = {held_, first_, too_long_, bad_byte_};
      return true;
    }
    keep(byte);
  }
  return false;
}

bool TextLines::reset() {
  const bool cut = !finished_ && !first_ && !held_.empty();
  held_.clear();
  finished_ = after_cr_ = too_long_ = bad_byte_ = false;
  first_ = true;
  return cut;
}

bool TextLines::drop_begun() {
  if (finished_ || held_.empty()) return false;
  const bool cut = !first_;
  held_.clear();
  too_long_ = bad_byte_ = false;
  first_ = true;
  return cut;
}

void TextLines::expect_answer() {
  first_ = !finished_ && !held_.empty();
  if (first_) held_.clear();
  if (first_) too_long_ = bad_byte_ = false;
}

void TextLines::keep(char byte) {
  // No NUL is ever stripped: that could join the halves of two numbers.
  if (byte != '\t' && (byte < 0x20 || byte > 0x7E)) bad_byte_ = true;
  if (held_.size() < longest_) {
    held_ += byte;
  } else {
    too_long_ = true;
  }
}

}  // namespace nestcup::drivers
