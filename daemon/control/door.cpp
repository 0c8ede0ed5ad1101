#include "daemon/control/door.hpp"

#include <fmt/format.h>

namespace nestcup::daemon {
namespace {

/// A request follows its connection much sooner than that.
constexpr std::chrono::seconds hurry{1};

}  // namespace

bool Visitors::has_room(const std::string& address, std::size_t most_per_address) const {
  if (sessions_.size() >= most_) return false;
  const auto found = by_address_.find(address);
  return found == by_address_.end() || found->second < most_per_address;
}

bool Visitors::make_room(const std::string& address, std::size_t most_per_address) {
  if (has_room(address, most_per_address)) return true;
  const auto held = by_address_.find(address);
  const bool of_its_own = held != by_address_.end() && held->second >= most_per_address;
  auto oldest = std::chrono::steady_clock::now() - hurry;
  std::shared_ptr<Session> idlest;
  for (const auto& [key, visitor] : sessions_) {
    if (of_its_own && visitor.address != address) continue;
    const auto since = visitor.session->waiting_since();
    if (!since || *since > oldest) continue;
    oldest = *since;
    idlest = visitor.session;
  }
  if (idlest) idlest->close();
  return has_room(address, most_per_address);
}

void Visitors::admit(Session::Socket socket, const SessionSettings& settings,
                     std::optional<Peer> peer, std::optional<Response> refusal,
                     const std::string& address) {
  if (!address.empty()) ++by_address_[address];
  const auto gone = [this, address](Session* closed) {
    sessions_.erase(closed);
    const auto found = by_address_.find(address);
    if (found != by_address_.end() && --found->second == 0) by_address_.erase(found);
  };
  const auto session = std::make_shared<Session>(std::move(socket), settings, std::move(peer),
                                                 std::move(refusal), gone);
  sessions_.emplace(session.get(), Visitor{session, address});
  session->start();
}

void Visitors::close_all() {
  // Each takes itself out of the map as it closes.
  while (!sessions_.empty()) {
    const auto session = sessions_.begin()->second.session;
    session->close();
  }
}

std::string no_room_text() {
  const Response response =
      error_response(503, Fault::try_later, "too many connections; try again in a moment");
  return fmt::format(
      "HTTP/1.1 503 Service Unavailable\r\nContent-Type: {}\r\nContent-Length: {}\r\n"
      "Connection: close\r\n\r\n{}",
      response.content_type, response.body.size(), response.body);
}

}  // namespace nestcup::daemon
