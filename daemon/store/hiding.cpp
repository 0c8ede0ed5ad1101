#include "daemon/store/hiding.hpp"

#include <nlohmann/json.hpp>

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

constexpr const char* event_kind = "results-hidden";

}  // namespace

Result<bool> stored_as_hidden(const Store& store) {
  const auto event = store.last_event(event_kind);
  if (!event) return event.error();
  if (!*event) return false;
  const Json detail = Json::parse((*event)->detail, nullptr, false);
  const auto hidden = detail.is_object() ? detail.find("hidden") : detail.end();
  if (hidden != detail.end() && hidden->is_boolean()) return hidden->get<bool>();
  return Error{Fault::bad_data, store.path() + ": an event \"results-hidden\" cannot be read"};
}

StoredEvent hiding_event(TimeUs now_us, bool hidden, const std::string& who) {
  return {now_us, event_kind, Json{{"hidden", hidden}, {"who", who}}.dump()};
}

}  // namespace nestcup::daemon
