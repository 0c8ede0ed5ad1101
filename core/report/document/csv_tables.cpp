#include "core/report/document/csv_tables.hpp"

#include <fmt/format.h>

#include "core/base/numbers.hpp"
#include "core/report/words/inline_text.hpp"
#include "core/report/words/letters.hpp"

namespace nestcup {

namespace {

/// A number of a page as programs read it: the plain minus sign, and `mark` between whole and
/// fraction. Anything else stays as it is.
std::string field_value(const std::string& text, char mark) {
  std::string number = text;
  if (number.rfind(minus, 0) == 0) number.replace(0, minus.size(), "-");
  for (char& c : number) {
    if (c == ',') c = '.';
  }
  if (!parse_number(number)) return text;
  for (char& c : number) {
    if (c == '.') c = mark;
  }
  return number;
}

/// Quoted where RFC 4180 asks for it.
std::string field(const std::string& text, char separator) {
  if (text.find_first_of(std::string("\"\r\n") + separator) == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) {
    out += c;
    if (c == '"') out += '"';
  }
  return out + '"';
}

/// A key as part of a file's name: names of trials may hold anything.
std::string file_part(std::string key) {
  for (char& c : key) {
    const bool is_control = static_cast<unsigned char>(c) < 0x20;
    if (is_control || std::string_view("/\\:*?\"<>|").find(c) != std::string_view::npos) c = '-';
  }
  return key;
}

class CsvWriter {
 public:
  explicit CsvWriter(CsvKind kind)
      : separator_(kind == CsvKind::comma ? ',' : ';'),
        mark_(kind == CsvKind::comma ? '.' : ','),
        text_(kind == CsvKind::comma ? "" : "\xEF\xBB\xBF") {}

  std::string whole(const Table& table) {
    for (const Column& column : table.columns) put(plain_text(column.head));
    end_row();
    for (const auto& row : table.rows) {
      for (const Cell& cell : row) put(content(cell));
      end_row();
    }
    return text_;
  }

 private:
  [[nodiscard]] std::string content(const Cell& cell) const {
    if (cell.is_blank) return "";
    const std::string text = field_value(plain_text(cell.text), mark_);
    return cell.below.empty() ? text : text + ": " + plain_text(cell.below);
  }

  void put(const std::string& value) {
    if (!first_) text_ += separator_;
    first_ = false;
    text_ += field(value, separator_);
  }

  void end_row() {
    text_ += "\r\n";
    first_ = true;
  }

  char separator_;
  char mark_;
  std::string text_;
  bool first_ = true;
};

}  // namespace

std::vector<CsvFile> csv_tables(const Document& document, CsvKind kind) {
  std::vector<CsvFile> files;
  int number = 0;
  for (const Block& block : document.blocks) {
    const auto* const table = std::get_if<Table>(&block);
    if (table == nullptr) continue;
    ++number;
    files.push_back({fmt::format("{:02} {}.csv", number, file_part(table->key)),
                     CsvWriter(kind).whole(*table)});
  }
  return files;
}

}  // namespace nestcup
