#include "sim/board_reader.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "sim/modbus_frame.hpp"

namespace nestcup::sim {

namespace {

/// A key that only one protocol has; says whether it may be read.
bool is_there(TableReader& reader, const std::string& key, bool fits, Protocol owner) {
  if (!reader.has(key)) return false;
  if (!fits) {
    reader.complain(key, fmt::format("only for protocol = \"{}\"", protocol_name(owner)));
    reader.pass_over(key);
  }
  return fits;
}

void read_text_keys(TableReader& reader, BoardSettings& board) {
  const auto mine = [&](const char* key) {
    return is_there(reader, key, board.protocol == Protocol::text, Protocol::text);
  };
  if (mine("separator")) board.separator = reader.text("separator");
  if (mine("keyed")) board.keyed = reader.flag("keyed", board.keyed);
  if (mine("uptime_column")) board.uptime_column = reader.flag("uptime_column", false);
  if (mine("comment_every_s")) {
    board.comment_every_s = reader.number("comment_every_s", {0.0, 1e6});
  }
}

/// Names of RFC 8428, section 4.5.1, and the characters that may follow.
bool is_senml_name(std::string_view name) {
  constexpr std::string_view letters =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789";
  if (name.empty()) return true;
  if (letters.find(name.front()) == std::string_view::npos) return false;
  return std::all_of(name.begin(), name.end(), [&](char letter) {
    return letters.find(letter) != std::string_view::npos ||
           std::string_view("-:./_").find(letter) != std::string_view::npos;
  });
}

void read_senml_keys(TableReader& reader, BoardSettings& board) {
  const auto mine = [&](const char* key) {
    return is_there(reader, key, board.protocol == Protocol::senml, Protocol::senml);
  };
  if (mine("base_name")) {
    board.base_name = reader.text("base_name");
    if (!is_senml_name(board.base_name)) {
      reader.complain("base_name",
                      "expected letters, digits and - : . / _, a letter or digit first");
    }
  }
  if (mine("clock_s")) board.clock_s = reader.number("clock_s", {-1e12, 1e12});
  if (mine("base_value")) board.base_value = reader.number("base_value", {-1e12, 1e12});
  if (mine("version")) board.version = static_cast<int>(reader.whole("version", 1, 10));
}

}  // namespace

BoardSettings read_board(const toml::table* table, Problems& problems) {
  BoardSettings board;
  if (table == nullptr) return board;
  TableReader reader(*table, "board", problems);
  board.protocol = static_cast<Protocol>(reader.choice("protocol", protocol_names, 0));
  const bool only_asked =
      board.protocol == Protocol::modbus_rtu || board.protocol == Protocol::scpi;
  board.polled = reader.flag("polled", only_asked);
  if (only_asked && !board.polled) {
    reader.complain("polled",
                    fmt::format("{} speaks only when asked", protocol_name(board.protocol)));
  }
  // A transmitter or an instrument behind an adapter does not notice that the port is opened.
  board.reset_on_open = reader.flag("reset_on_open", !only_asked);
  board.banner = reader.texts("banner");
  board.boot_s = reader.number("boot_s", {0.0, 60.0}, board.boot_s);
  board.boot_junk = static_cast<int>(reader.number("boot_junk", {0.0, 1000.0}, 0.0));
  board.echo = reader.flag("echo", board.echo);
  board.answer_delay_s = reader.number("answer_delay_s", {0.0, 60.0}, board.answer_delay_s);
  if (board.answer_delay_s > 0.0 && !board.polled) {
    reader.complain("answer_delay_s", "only for a board that is polled");
  }
  if (reader.has("no_reading") && board.protocol == Protocol::scpi) {
    reader.complain("no_reading", "scpi has its own (9.91E37)");
  }
  board.no_reading = reader.text("no_reading", board.no_reading);
  read_text_keys(reader, board);
  read_senml_keys(reader, board);
  reader.finish();
  return board;
}

RegisterSettings read_registers(TableReader& reader) {
  constexpr std::array<std::string_view, 5> formats{"int16", "uint16", "int32", "uint32",
                                                    "float32"};
  constexpr std::array<std::string_view, 4> orders{"ABCD", "CDAB", "BADC", "DCBA"};
  RegisterSettings place;
  const auto whole = [&reader](const char* key, int least, int most, int fallback) {
    const auto value = reader.whole(key, least, fallback);
    if (value > most) reader.complain(key, fmt::format("expected {} to {}", least, most));
    return static_cast<int>(std::min<std::int64_t>(value, most));
  };
  place.device = whole("device", 1, 247, place.device);
  place.function = whole("function", 3, 4, place.function);
  place.first = whole("register", 0, 65535, place.first);
  place.format = static_cast<NumberFormat>(reader.choice("format", formats, 4));
  place.order = static_cast<WordOrder>(reader.choice("word_order", orders, 0));
  if (reader.has("word_order") && register_count(place.format) == 1) {
    reader.complain("word_order", "a single register has none");
  }
  if (place.first + register_count(place.format) > 65536) {
    reader.complain("register", "the number does not end before register 65536");
  }
  place.scale = reader.number("scale", {-1e9, 1e9}, place.scale);
  if (place.scale == 0.0) reader.complain("scale", "expected a number other than 0");
  place.offset = reader.number("offset", {-1e12, 1e12}, place.offset);
  return place;
}

}  // namespace nestcup::sim
