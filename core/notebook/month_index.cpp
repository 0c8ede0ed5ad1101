#include "core/notebook/month_index.hpp"

#include <fmt/format.h>

#include <map>
#include <string_view>

#include "core/base/digest.hpp"
#include "core/base/uncertain_text.hpp"
#include "core/notebook/safe_name.hpp"
#include "core/record/quantity_json.hpp"

namespace nestcup {
namespace {

constexpr std::size_t mark_length = 6;
constexpr std::size_t month_length = 7;    // "2026-11"
constexpr std::size_t second_length = 19;  // "2026-11-25T14:03:22"
constexpr std::string_view digest_lead = "<!-- as it was made: ";
constexpr std::string_view digest_end = " -->\n";
constexpr std::string_view table_head =
    "| started (UTC) | run | trial | corrected rise | revision |\n|---|---|---|---|---|\n";
constexpr std::string_view folder_lead = "| [";
constexpr std::string_view folder_end = "](<";

/// Rows by the folder that they lead to.
using Rows = std::map<std::string, std::string>;

std::string rise_words(const Json& record) {
  if (record.at("status") == "struck") return "struck out";
  const Json& rise = record.at("corrected_rise_K");
  return rise.at("value").is_null() ? "unusable" : uncertain_text(quantity_of(rise), "K");
}

std::string trial_cell(const Json& record) {
  const Json& trial = record.at("trial");
  if (trial.is_null()) return "";
  std::string words =
      trial.at("name").get<std::string>() + " " + std::to_string(trial.at("number").get<int>());
  for (char& c : words) {
    if (c == '|' || c == '\n') c = ' ';  // they end a cell
  }
  return words;
}

std::string start_cell(const Json& record) {
  const Json& started = record.at("started_at");
  if (!started.is_string()) return "";
  std::string words = started.get<std::string>().substr(0, second_length);
  if (words.size() == second_length) words[10] = ' ';
  return words;
}

std::string row_of(const IndexLine& line) {
  return fmt::format("| {} {}{}{}{}/page.md>) | {} | {} | {} |", start_cell(line.record),
                     folder_lead, line.folder, folder_end, line.folder, trial_cell(line.record),
                     rise_words(line.record), line.record.at("revision").get<int>());
}

std::string folder_in(std::string_view row) {
  const std::size_t lead = row.find(folder_lead);
  const std::size_t end = row.find(folder_end);
  if (lead == std::string_view::npos || end == std::string_view::npos) return std::string(row);
  const std::size_t begin = lead + folder_lead.size();
  return std::string(row.substr(begin, end - begin));
}

/// @param title  all above the table
std::string sealed(std::string_view title, const Rows& rows) {
  // Rows begin with the time, so that their order is that of the runs.
  std::map<std::string_view, std::string_view> in_order;
  for (const auto& [folder, row] : rows) in_order.emplace(row, folder);
  std::string text = fmt::format("{}{}", title, table_head);
  for (const auto& [row, folder] : in_order) text += fmt::format("{}\n", row);
  text += fmt::format("\n{}", digest_lead);
  return text + sha256_hex(text) + std::string(digest_end);
}

Rows rows_of(const std::vector<IndexLine>& lines) {
  Rows rows;
  for (const IndexLine& line : lines) rows[line.folder] = row_of(line);
  return rows;
}

}  // namespace

std::string book_mark(const std::string& book) {
  return book.size() > mark_length ? book.substr(book.size() - mark_length) : book;
}

std::string bench_words(const KeptHead& head) {
  return fmt::format("{} {}", head.bench.empty() ? "bench" : safe_name(head.bench),
                     book_mark(head.head.book));
}

std::string month_of(const Json& record) {
  const Json& started = record.at("started_at");
  return started.is_string() ? started.get<std::string>().substr(0, month_length) : "undated";
}

std::string index_file_name(const KeptHead& head, const std::string& month) {
  return fmt::format("index {} {}.md", month, bench_words(head));
}

std::string index_text(const KeptHead& head, const std::string& month,
                       const std::vector<IndexLine>& lines) {
  return sealed(fmt::format("# {} {}\n\n", head.bench.empty() ? "Runs of" : head.bench, month),
                rows_of(lines));
}

std::optional<std::string> index_with(const std::string& text,
                                      const std::vector<IndexLine>& lines) {
  const std::size_t table = text.find(table_head);
  if (!is_untouched_index(text) || table == std::string::npos) return std::nullopt;
  Rows rows;
  std::string_view rest = std::string_view(text).substr(table + table_head.size());
  for (std::size_t end = rest.find('\n'); end != std::string_view::npos && end > 0;
       end = rest.find('\n')) {
    rows[folder_in(rest.substr(0, end))] = rest.substr(0, end);
    rest.remove_prefix(end + 1);
  }
  for (auto& [folder, row] : rows_of(lines)) rows[folder] = row;
  return sealed(std::string_view(text).substr(0, table), rows);
}

bool is_untouched_index(const std::string& text) {
  constexpr std::size_t digest_size = 64;
  const std::size_t lead = text.rfind(digest_lead);
  if (lead == std::string::npos) return false;
  const std::size_t digest = lead + digest_lead.size();
  return text.substr(digest) ==
             sha256_hex(std::string_view(text).substr(0, digest)) + std::string(digest_end) &&
         text.size() == digest + digest_size + digest_end.size();
}

Result<std::string> new_index(const std::optional<std::string>& there, const KeptHead& head,
                              const IndexNews& news) {
  if (there) {
    if (auto text = index_with(*there, news.lines)) return std::move(*text);
  }
  const auto all = news.all();
  if (!all) return all.error();
  return index_text(head, news.month, *all);
}

}  // namespace nestcup
