// Serves a Router over a Unix stream socket, on the io_context's one thread.
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <cstddef>
#include <functional>
#include <memory>
#include <string>
#include <string_view>

#include "core/base/result.hpp"
#include "daemon/control/door.hpp"
#include "daemon/control/router.hpp"
#include "daemon/control/socket_file.hpp"

namespace nestcup::daemon {

/// Where to listen and for how many.
struct UnixServerOptions {
  std::string path;
  std::size_t connections = 64;  ///< at the same time; more are told to come back later
  SessionLimits limits;
  std::function<void(std::string_view)> report = {};  ///< told of trouble, one line each
};

/// The control socket. Root, the daemon's own user and the socket's group may use it.
class UnixServer {
 public:
  /// Makes the socket and begins to accept; `router` must outlive the server.
  /// @errors as SocketFile::open
  [[nodiscard]] static Result<std::unique_ptr<UnixServer>> open(boost::asio::io_context& context,
                                                                const Router& router,
                                                                UnixServerOptions options);
  UnixServer(const UnixServer&) = delete;
  UnixServer& operator=(const UnixServer&) = delete;
  ~UnixServer();

  /// Closes every connection at once and removes the socket. May be called again.
  void stop();

  [[nodiscard]] std::size_t open_connections() const { return visitors_.count(); }

 private:
  using Protocol = boost::asio::local::stream_protocol;

  UnixServer(boost::asio::io_context& context, const Router& router, UnixServerOptions options,
             SocketFile file);

  void admit(Protocol::socket socket);
  void report(std::string_view text) const;

  const UnixServerOptions options_;
  const SessionSettings settings_;
  SocketFile file_;
  Visitors visitors_;
  Door<Protocol> door_;
};

}  // namespace nestcup::daemon
