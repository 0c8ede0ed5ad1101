#include "sim/capture_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <fstream>
#include <iterator>
#include <optional>

namespace nestcup::sim {

namespace {

constexpr std::string_view first_line = "# nestcup-capture 1";
/// 31 years; sums with it cannot overflow.
constexpr TimeUs longest_us = 1'000'000'000'000'000;
/// How much of a line is shown in a message.
constexpr std::size_t shown = 40;

std::optional<int> digit_of(char letter) {
  if (letter >= '0' && letter <= '9') return letter - '0';
  if (letter >= 'a' && letter <= 'f') return letter - 'a' + 10;
  if (letter >= 'A' && letter <= 'F') return letter - 'A' + 10;
  return std::nullopt;
}

/// The bytes of an even number of hexadecimal digits, at least two; nothing for anything else.
std::optional<std::string> bytes_of(std::string_view digits) {
  if (digits.empty() || digits.size() % 2 != 0) return std::nullopt;
  std::string bytes;
  bytes.reserve(digits.size() / 2);
  for (std::size_t i = 0; i < digits.size(); i += 2) {
    const auto high = digit_of(digits[i]), low = digit_of(digits[i + 1]);
    if (!high || !low) return std::nullopt;
    bytes += static_cast<char>(static_cast<unsigned char>(*high * 16 + *low));
  }
  return bytes;
}

/// A line's text for a message: what is not printable as '?'.
std::string excerpt(std::string_view line) {
  std::string text{line.substr(0, shown)};
  std::replace_if(
      text.begin(), text.end(), [](char letter) { return letter < ' ' || letter > '~'; }, '?');
  return line.size() > shown ? text + "..." : text;
}

/// One line of a capture; the Error's text has no place yet.
Result<CapturedBytes> piece_of(std::string_view line) {
  const auto wrong = [line](const char* what) {
    return Error{Fault::bad_data, fmt::format("{}, found \"{}\"", what, excerpt(line))};
  };
  CapturedBytes piece;
  const char* const end = line.data() + line.size();
  const auto [stop, fault] = std::from_chars(line.data(), end, piece.offset_us);
  if (fault != std::errc{} || piece.offset_us < 0 || piece.offset_us > longest_us) {
    return wrong("expected an offset in microseconds, then < or >, then bytes");
  }
  std::string_view rest(stop, static_cast<std::size_t>(end - stop));
  if (!rest.starts_with(" < ") && !rest.starts_with(" > ")) {
    return wrong("expected \" < \" or \" > \" behind the offset");
  }
  piece.from_device = rest[1] == '<';
  auto bytes = bytes_of(rest.substr(3));
  if (!bytes) return wrong("expected bytes of two hexadecimal digits each at the line's end");
  piece.bytes = std::move(*bytes);
  return piece;
}

}  // namespace

Result<Capture> parse_capture(std::string_view text, const std::string& path) {
  Capture capture;
  std::size_t number = 0;
  const auto fail = [&](const std::string& what) {
    return Error{Fault::bad_data,
                 fmt::format("{}:{}: {}", path, std::max<std::size_t>(1, number), what)};
  };
  while (!text.empty()) {
    ++number;
    const std::size_t stop = text.find('\n');
    if (stop == std::string_view::npos) return fail("the last line has no end; was it cut off?");
    const std::string_view line = text.substr(0, stop);
    text.remove_prefix(stop + 1);
    if (number == 1) {
      if (line == first_line) continue;
      return fail(fmt::format("expected \"{}\", found \"{}\"", first_line, excerpt(line)));
    }
    if (line.starts_with('#')) continue;
    Result<CapturedBytes> piece = piece_of(line);
    if (!piece) return fail(piece.error().text);
    if (!capture.pieces.empty() && piece->offset_us < capture.pieces.back().offset_us) {
      return fail(fmt::format("the offset {} lies before the one above it", piece->offset_us));
    }
    capture.pieces.push_back(std::move(piece).value());
  }
  if (number == 0) return fail(fmt::format("empty; expected \"{}\"", first_line));
  if (capture.pieces.empty()) return fail("no bytes follow the header");
  return capture;
}

Result<Capture> read_capture(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  if (!file) return Error{Fault::no_input, path + ": no such capture file can be read"};
  const std::string text{std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
  return parse_capture(text, path);
}

std::string capture_text(const Capture& capture) {
  std::string text = std::string(first_line) + "\n";
  for (const CapturedBytes& piece : capture.pieces) {
    text += fmt::format("{} {} ", piece.offset_us, piece.from_device ? '<' : '>');
    for (const char byte : piece.bytes) {
      text += fmt::format("{:02x}", static_cast<unsigned char>(byte));
    }
    text += '\n';
  }
  return text;
}

}  // namespace nestcup::sim
