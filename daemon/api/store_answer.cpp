#include "daemon/api/store_answer.hpp"

#include "daemon/api/hidden_results.hpp"

namespace nestcup::daemon {

using Json = nlohmann::ordered_json;

std::string who_asks(const Request& request) {
  return request.caller.name.empty() ? "somebody" : request.caller.name;
}

Json run_line(const StoredRun& run, bool hidden) {
  Json record = Json::parse(run.record_json);
  return {{"number", run.number},
          {"id", run.id},
          {"revision", run.revision},
          {"status", run.status},
          {"record", hidden ? masked_record(record) : std::move(record)}};
}

void answer_from_store(Bench& bench, const Reply& reply, StoreWork work) {
  bench.recorder().post([reply, work = std::move(work)](Store& store) -> Result<void> {
    const auto answer = work(store);
    reply(answer ? json_response(*answer) : error_response(answer.error()));
    return {};
  });
}

}  // namespace nestcup::daemon
