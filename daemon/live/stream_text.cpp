#include "daemon/live/stream_text.hpp"

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

std::string dumped(const Json& message) {
  return message.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace

std::string readings_text(const std::vector<ProbeNewest>& probes, bool gap) {
  Json list = Json::array();
  for (const ProbeNewest& one : probes) {
    list.push_back({{"probe", one.probe},
                    {"time_us", one.time_us},
                    {"temperature_degC", one.temperature_degC}});
  }
  return dumped({{"kind", "readings"}, {"gap", gap}, {"probes", std::move(list)}});
}

std::string status_text(const Json& status) {
  return dumped({{"kind", "status"}, {"status", status}});
}

std::string event_text(TimeUs time_us, std::string_view kind, std::string_view detail) {
  return dumped({{"kind", "event"},
                 {"time_us", time_us},
                 {"event", kind},
                 {"detail", Json::parse(detail, nullptr, false)}});
}

}  // namespace nestcup::daemon
