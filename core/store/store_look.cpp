#include "core/store/store_look.hpp"

#include <filesystem>

#include "core/store/schema.hpp"
#include "core/store/store_file.hpp"

namespace nestcup {

namespace {

constexpr std::int64_t day_us = 24 * 3600 * us_per_s;
constexpr int steps_between_looks = 100'000;

int breaks_off(void* go_on) {
  return (*static_cast<const std::function<bool()>*>(go_on))() ? 0 : 1;
}

std::int64_t size_of(const std::string& path) {
  std::error_code fault;
  const auto size = std::filesystem::file_size(path, fault);
  return fault ? 0 : static_cast<std::int64_t>(size);
}

/// Whole numbers by their questions.
Result<void> ask(const Database& database,
                 std::initializer_list<std::pair<std::int64_t*, std::string>> questions) {
  for (const auto& [place, sql] : questions) {
    const auto answer = database.whole_answer(sql);
    if (!answer) return answer.error();
    *place = *answer;
  }
  return {};
}

}  // namespace

Result<StoreLook> look_at_store(const std::string& path, const std::function<bool()>& go_on) {
  const auto database = open_for_reading(path);
  if (!database) return database.error();
  StoreLook look;
  look.newest_version = newest_schema();
  look.bytes = size_of(path);
  look.log_bytes = size_of(path + "-wal");
  std::int64_t vacuum_kind = 0;
  const auto asked = ask(*database, {{&look.tables_version, "PRAGMA user_version"},
                                     {&look.pages.all, "PRAGMA page_count"},
                                     {&look.pages.free, "PRAGMA freelist_count"},
                                     {&vacuum_kind, "PRAGMA auto_vacuum"},
                                     {&look.readings, "SELECT rows FROM reading_total"}});
  if (!asked) return asked.error();
  look.pages.can_be_given_back = vacuum_kind == incremental_vacuum;
  sqlite3_progress_handler(database->handle(), steps_between_looks, breaks_off,
                           const_cast<std::function<bool()>*>(&go_on));
  auto problems = database->problems("PRAGMA quick_check(5)");
  sqlite3_progress_handler(database->handle(), 0, nullptr, nullptr);
  if (!problems) return problems.error();
  look.problems = std::move(*problems);
  return look;
}

Result<std::int64_t> readings_of_last_day(const std::string& path) {
  const auto database = open_for_reading(path);
  if (!database) return database.error();
  return database->whole_answer(
      "SELECT count(*) FROM reading WHERE time_us > (SELECT max(time_us) FROM reading) - " +
      std::to_string(day_us));
}

}  // namespace nestcup
