#include "core/record/revise.hpp"

#include <fmt/format.h>

#include "core/record/run_record.hpp"

namespace nestcup {

Result<StoredRun> change_status(Store& store, const std::string& which, const std::string& status,
                                const RevisionNote& note) {
  auto run = store.find_run(which);
  if (!run) return run.error();
  if (run->status == status) {
    return Error{Fault::usage, fmt::format("run {} is {} already", run->number, status)};
  }
  const Json record = with_status(Json::parse(run->record_json), status, run->revision + 1);
  if (auto added = store.add_revision(run->id, run->revision, status, record.dump(), note);
      !added) {
    return added.error();
  }
  return store.find_run(run->id);
}

}  // namespace nestcup
