// What --bench, --store and --from name, to be read as a book of runs.
#include <fmt/format.h>

#include <limits>

#include "core/base/time_text.hpp"
#include "core/notebook/postgres/book.hpp"
#include "tools/place.hpp"

namespace nestcup {
namespace {

constexpr std::size_t date_length = 10;

/// "2026-09-01" or an RFC 3339 stamp.
Result<std::optional<TimeUs>> time_of(const cli::Parsed& parsed, const char* option) {
  const auto text = parsed.text(option);
  if (!text) return std::optional<TimeUs>{};
  const auto wall_us =
      parse_rfc3339(text->size() == date_length ? *text + "T00:00:00.000Z" : *text);
  if (wall_us) return wall_us;
  return Error{Fault::usage,
               fmt::format("option --{}: \"{}\" is neither a date (2026-09-01) nor a time (RFC "
                           "3339: 2026-09-01T08:00:00Z)",
                           option, *text)};
}

Result<int> last_of(const cli::Parsed& parsed) {
  const auto last = parsed.whole_number("last");
  if (!last) return last.error();
  if (!*last) return 0;
  if (**last >= 1 && **last <= std::numeric_limits<int>::max()) return static_cast<int>(**last);
  return Error{Fault::usage, "option --last: a whole number from 1 on is expected"};
}

Result<void> check_one_place(const cli::Parsed& parsed) {
  std::vector<std::string> given;
  for (const char* option : {"bench", "store", "from"}) {
    if (parsed.text(option)) given.push_back(option);
  }
  if (given.size() < 2) return {};
  return Error{Fault::usage, fmt::format("--{} and --{} together: give one of them", given.back(),
                                         given.front())};
}

Result<std::unique_ptr<RunBook>> store_book(const std::string& path) {
  auto store = Store::open(path, StoreMode::read);
  if (!store) return store.error();
  return std::unique_ptr<RunBook>(std::make_unique<Store>(std::move(*store)));
}

}  // namespace

cli::OptionSpec from_option() {
  return {.name = "from",
          .value_name = "PLACE",
          .help = "a course's database (postgres://USER@HOST/DATABASE), or a store",
          .complete = {cli::Hint::file}};
}

std::vector<cli::OptionSpec> choice_options() {
  return {
      {.name = "only",
       .value_name = "BENCH",
       .help = "of a database: runs of benches of this name"},
      {.name = "course",
       .value_name = "TITLE",
       .help = "of a database: runs by sheets of this title"},
      {.name = "since",
       .value_name = "DATE",
       .help = "of a database: runs that began then or later (2026-09-01, UTC)"},
      {.name = "before", .value_name = "DATE", .help = "of a database: runs that began earlier"},
      {.name = "last", .value_name = "N", .help = "of a database: of those the N that came last"}};
}

std::vector<cli::OptionSpec> book_options() {
  std::vector<cli::OptionSpec> options = store_options();
  options.push_back(from_option());
  return options;
}

std::vector<cli::OptionSpec> book_and_choice_options() {
  std::vector<cli::OptionSpec> options = book_options();
  for (cli::OptionSpec& option : choice_options()) options.push_back(std::move(option));
  return options;
}

bool names_book(const cli::Parsed& parsed) {
  return parsed.text("store") || parsed.text("bench") || parsed.text("from");
}

std::optional<std::string> chosen_database(const cli::Parsed& parsed) {
  auto from = parsed.text("from");
  if (from && !is_postgres_address(*from)) return std::nullopt;
  return from;
}

Result<RunChoice> run_choice(const cli::Parsed& parsed) {
  if (!chosen_database(parsed)) {
    for (const char* option : {"only", "course", "since", "before", "last"}) {
      if (!parsed.text(option)) continue;
      return Error{Fault::usage, fmt::format("option --{}: is for databases; name one with --from "
                                             "postgres://USER@HOST/DATABASE",
                                             option)};
    }
  }
  const auto since_us = time_of(parsed, "since");
  if (!since_us) return since_us.error();
  const auto before_us = time_of(parsed, "before");
  if (!before_us) return before_us.error();
  const auto last = last_of(parsed);
  if (!last) return last.error();
  return RunChoice{parsed.text("only"), parsed.text("course"), *since_us, *before_us, *last};
}

Result<std::string> chosen_book_path(const cli::Parsed& parsed) {
  if (auto one = check_one_place(parsed); !one) return one.error();
  const auto from = parsed.text("from");
  if (!from) return chosen_store_path(parsed);
  if (!is_postgres_address(*from)) return *from;
  return Error{Fault::usage, *from + ": is a database; a store is expected here"};
}

Result<std::unique_ptr<RunBook>> book_from(const std::string& place, const RunChoice& choice) {
  if (is_postgres_address(place)) {
    auto book = PostgresBook::open(place, choice);
    if (!book) return book.error();
    return std::unique_ptr<RunBook>(std::move(*book));
  }
  return store_book(place);
}

Result<std::unique_ptr<RunBook>> chosen_book(const cli::Parsed& parsed, const RunChoice& choice) {
  if (auto one = check_one_place(parsed); !one) return one.error();
  if (const auto from = parsed.text("from")) return book_from(*from, choice);
  const auto path = chosen_store_path(parsed);
  if (!path) return path.error();
  return store_book(*path);
}

}  // namespace nestcup
