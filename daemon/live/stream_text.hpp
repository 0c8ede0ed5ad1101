// The messages of the stream, as JSON texts. Times are microseconds on the bench's axis, which is
// what readings are known by: whoever gets one twice sees it.
//
//   {"kind":"hello", ...}      once, at first: who watches what (stream_hub.hpp)
//   {"kind":"readings","gap":false,"probes":[{"probe":0,"time_us":[...],"temperature_degC":[...]}]}
//                              gap: some were left out before these; GET /v1/readings has them
//   {"kind":"status","status":{...}}   as GET /v1/status, once a second and after every change
//   {"kind":"event","time_us":...,"event":"mark","detail":{...}}   as the store keeps it
#pragma once

#include <cstddef>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/clock.hpp"

namespace nestcup::daemon {

/// Readings of one probe, in order of time.
struct ProbeNewest {
  std::size_t probe = 0;  ///< its place on the bench
  std::vector<TimeUs> time_us;
  std::vector<double> temperature_degC;
};

[[nodiscard]] std::string readings_text(const std::vector<ProbeNewest>& probes, bool gap);
[[nodiscard]] std::string status_text(const nlohmann::ordered_json& status);
/// @param detail  JSON, as the store keeps it
[[nodiscard]] std::string event_text(TimeUs time_us, std::string_view kind,
                                     std::string_view detail);

}  // namespace nestcup::daemon
