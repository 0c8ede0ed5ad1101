// Cuts a stream of bytes into text lines, however the bytes were split on their way.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <string_view>

namespace nestcup::drivers {

/// Longest line of text that is kept, bytes without its terminator.
inline constexpr std::size_t longest_text_line = 512;

/// A complete line; `text` holds until the next call of the splitter.
struct TextLine {
  std::string_view text;  ///< without its terminator; cut short where `too_long`
  bool first = false;     ///< may have begun before listening did
  bool too_long = false;
  bool bad_byte = false;  ///< holds a byte that is neither 0x20..0x7E nor tab
};

/// Whether it is one of ASCII's letters, whatever the locale.
[[nodiscard]] constexpr bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/// CR, LF and CRLF end a line; an LF right after a CR belongs to it even in the next read.
/// Holds at most one line of `longest` bytes.
class TextLines {
 public:
  explicit TextLines(std::size_t longest = longest_text_line) : longest_(longest) {}

  /// Takes bytes from the front of `bytes` up to the end of the next line.
  /// @return whether `line` is now a complete line; otherwise all bytes were taken
  bool next(std::span<const char>& bytes, TextLine& line);
  /// Forgets what is unfinished; the next line counts as `first`.
  /// @return whether bytes of an unfinished, not-first line were dropped
  bool reset();
  /// Gives up a line that has begun, but is not whole: its rest counts as `first`.
  /// @return whether there was one that was not `first` anyway
  bool drop_begun();
  /// A question is asked: what came unasked is no answer, and the line that comes next is whole.
  void expect_answer();

 private:
  void keep(std::span<const char> bytes);

  std::size_t longest_;
  std::string held_;
  bool finished_ = false;  // `held_` was handed out and goes with the next call
  bool after_cr_ = false;
  bool first_ = true;
  bool too_long_ = false;
  bool bad_byte_ = false;
};

}  // namespace nestcup::drivers
