#include "core/notebook/notebook.hpp"

#include <fmt/format.h>

#include "core/base/digest.hpp"
#include "core/base/uncertain_text.hpp"
#include "core/notebook/folder_notebook.hpp"
#include "core/notebook/safe_name.hpp"
#include "core/record/quantity_json.hpp"

namespace nestcup {
namespace {

constexpr std::size_t mark_length = 6;
constexpr std::string_view digest_lead = "<!-- as it was made: ";
constexpr std::string_view digest_end = " -->\n";
constexpr const char* head_format = "nestcup-chain";

std::string bench_words(const KeptHead& head) {
  return fmt::format("{} {}", head.bench.empty() ? "bench" : safe_name(head.bench),
                     book_mark(head.head.book));
}

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

}  // namespace

std::string notebook_name(const NotebookSettings& settings) {
  return settings.kind + " " + settings.target;
}

Result<std::unique_ptr<Notebook>> open_notebook(const NotebookSettings& settings,
                                                const std::string& mark) {
  if (settings.kind == "folder") {
    return std::unique_ptr<Notebook>(std::make_unique<FolderNotebook>(settings, mark));
  }
  return Error{
      Fault::bad_configuration,
      fmt::format("notebook of kind \"{}\": this program carries to folders only", settings.kind)};
}

std::string book_mark(const std::string& book) {
  return book.size() > mark_length ? book.substr(book.size() - mark_length) : book;
}

std::string head_file_name(const KeptHead& head) {
  return fmt::format("chain {}.json", bench_words(head));
}

std::string index_file_name(const KeptHead& head, const std::string& month) {
  return fmt::format("index {} {}.md", month, bench_words(head));
}

std::string head_text(const KeptHead& head) {
  return Json{{"format", head_format},    {"version", 1},
              {"bench", head.bench},      {"book", head.head.book},
              {"links", head.head.links}, {"last_sha256", head.head.last_sha256}}
             .dump(2) +
         "\n";
}

Result<KeptHead> parse_head(const std::string& text, const std::string& name) {
  try {
    const Json json = Json::parse(text);
    if (json.value("format", "") == head_format) {
      return KeptHead{json.at("bench"),
                      {json.at("book"), json.at("links").get<int>(), json.at("last_sha256")}};
    }
  } catch (const Json::exception&) {
    // Told below, as all else that is none.
  }
  return Error{Fault::bad_data,
               name + ": does not say where a chain of records ends; it was damaged or edited"};
}

std::string index_text(const KeptHead& head, const std::string& month,
                       const std::vector<IndexLine>& lines) {
  std::string text =
      fmt::format("# {} {}\n\n| run | trial | corrected rise | revision |\n|---|---|---|---|\n",
                  head.bench.empty() ? "Runs of" : head.bench, month);
  for (const IndexLine& line : lines) {
    text += fmt::format("| [{}](<{}/page.md>) | {} | {} | {} |\n", line.folder, line.folder,
                        trial_cell(line.record), rise_words(line.record),
                        line.record.at("revision").get<int>());
  }
  text += "\n" + std::string(digest_lead);
  return text + sha256_hex(text) + std::string(digest_end);
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

}  // namespace nestcup
