#include "core/store/run_counts.hpp"

#include "core/store/store_file.hpp"

namespace nestcup {

Result<RunCounts> run_counts(const std::string& path) {
  const auto database = open_for_reading(path);
  if (!database) return database.error();
  auto statement = database->prepare("SELECT status, count(*) FROM run GROUP BY status");
  if (!statement) return statement.error();
  RunCounts counts;
  for (auto row = statement->step();; row = statement->step()) {
    if (!row) return row.error();
    if (!*row) return counts;
    const auto count = static_cast<std::uint64_t>(statement->whole(1));
    (statement->text(0) == "struck" ? counts.struck : counts.finished) = count;
  }
}

}  // namespace nestcup
