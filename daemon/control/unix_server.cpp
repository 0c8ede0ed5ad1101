#include "daemon/control/unix_server.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <utility>

#include "daemon/control/peer.hpp"

namespace nestcup::daemon {
Result<std::unique_ptr<UnixServer>> UnixServer::open(boost::asio::io_context& context,
                                                     const Router& router,
                                                     UnixServerOptions options) {
  auto file = SocketFile::open(options.path);
  if (!file) return file.error();
  std::unique_ptr<UnixServer> server(
      new UnixServer(context, router, std::move(options), std::move(*file)));
  return server;
}

UnixServer::UnixServer(boost::asio::io_context& context, const Router& router,
                       UnixServerOptions options, SocketFile file)
    : options_(std::move(options)),
      settings_{router, options_.limits, nullptr},
      file_(std::move(file)),
      visitors_(options_.connections),
      door_(
          context, Protocol(), file_.release_descriptor(),
          [this](Protocol::socket socket) { admit(std::move(socket)); },
          [this](std::string_view text) { report(fmt::format("control socket: {}", text)); }) {}

UnixServer::~UnixServer() {
  stop();
}

void UnixServer::stop() {
  door_.close();
  visitors_.close_all();
  file_.remove();
}

void UnixServer::admit(Protocol::socket socket) {
  if (!visitors_.make_room("", options_.connections)) return turn_away(socket);
  auto credentials = peer_credentials(socket.native_handle());
  if (!credentials) return report(credentials.error().text);
  std::optional<Response> refusal;
  if (!may_use(*credentials, geteuid(), file_.group())) {
    const std::string text = fmt::format("{} may not use this socket; join its group ({})",
                                         credentials->peer.login, file_.group());
    refusal = error_response({Fault::not_permitted, text});
  }
  visitors_.admit(Session::Socket(std::move(socket)), settings_, std::move(credentials->peer),
                  std::move(refusal), "");
}

void UnixServer::report(std::string_view text) const {
  if (options_.report) options_.report(text);
}

}  // namespace nestcup::daemon
