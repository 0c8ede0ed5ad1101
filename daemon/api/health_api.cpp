#include "daemon/api/health_api.hpp"

namespace nestcup::daemon {

void add_health_routes(Router& router, Bench& bench) {
  router.add({"GET", "/healthz", answer_at_once([&bench](const Request&) {
                const RecorderStatus status = bench.recorder().status();
                nlohmann::json problems = nlohmann::json::array();
                if (!status.error.empty()) problems.push_back("the store cannot be written");
                if (status.lost_readings > 0) problems.push_back("readings were lost");
                const bool hangs = status.silent_s > longest_silence_s;
                if (hangs) problems.push_back("the store's disk does not answer");
                const bool well = status.error.empty() && !hangs;
                return json_response({{"well", well}, {"problems", std::move(problems)}},
                                     well ? 200 : 503);
              })});
}

}  // namespace nestcup::daemon
