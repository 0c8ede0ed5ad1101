#include "drivers/protocol/text_lines.hpp"

#include <algorithm>

namespace nestcup::drivers {
namespace {

bool ends_line(char byte) {
  return byte == '\r' || byte == '\n';
}

bool is_bad(char byte) {
  return byte != '\t' && (byte < 0x20 || byte > 0x7E);
}

}  // namespace

bool TextLines::next(std::span<const char>& bytes, TextLine& line) {
  if (finished_) {
    held_.clear();
    finished_ = too_long_ = bad_byte_ = first_ = false;
  }
  while (!bytes.empty()) {
    const bool belongs_to_cr = bytes.front() == '\n' && after_cr_;
    after_cr_ = false;
    if (belongs_to_cr) {
      bytes = bytes.subspan(1);
      continue;
    }
    const auto end = std::find_if(bytes.begin(), bytes.end(), ends_line);
    const auto size = static_cast<std::size_t>(end - bytes.begin());
    keep(bytes.first(size));
    bytes = bytes.subspan(size);
    if (bytes.empty()) return false;
    after_cr_ = bytes.front() == '\r';
    bytes = bytes.subspan(1);
    finished_ = true;
    line = {held_, first_, too_long_, bad_byte_};
    return true;
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

void TextLines::keep(std::span<const char> bytes) {
  // No NUL is ever stripped: that could join the halves of two numbers.
  if (std::any_of(bytes.begin(), bytes.end(), is_bad)) bad_byte_ = true;
  const std::size_t room = longest_ - held_.size();
  if (bytes.size() > room) too_long_ = true;
  held_.append(bytes.data(), std::min(bytes.size(), room));
}

}  // namespace nestcup::drivers
