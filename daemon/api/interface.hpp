// What the bench offers to commands and pages: the routes, the stream, and the servers for them.
#pragma once

#include <boost/asio/io_context.hpp>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "daemon/api/book_reader.hpp"
#include "daemon/api/class_wall.hpp"
#include "daemon/api/metrics_api.hpp"
#include "daemon/api/token_keeper.hpp"
#include "daemon/bench/bench.hpp"
#include "daemon/control/tcp_server.hpp"
#include "daemon/control/unix_server.hpp"
#include "daemon/health/service_heart.hpp"
#include "daemon/live/stream_hub.hpp"
#include "daemon/store/delivery.hpp"
#include "daemon/store/housekeeping.hpp"
#include "daemon/store/store_check.hpp"

namespace nestcup::daemon {

/// All on the io_context's thread.
class Interface {
 public:
  struct Parts {
    boost::asio::io_context& context;
    Bench& bench;
    Delivery& delivery;
    const Housekeeping& housekeeping;
    const StoreCheck& check;
    double speed = 1.0;
    Log log;
    std::function<ServiceState()> service = [] { return ServiceState{}; };
  };

  /// Opens the control socket, and the TCP port where the bench file wants one.
  /// @errors as UnixServer::open and TcpServer::open
  [[nodiscard]] static Result<std::unique_ptr<Interface>> open(Parts parts);
  Interface(const Interface&) = delete;
  Interface& operator=(const Interface&) = delete;
  ~Interface();

  /// Ends every connection; questions that are being answered are waited for.
  void stop();
  [[nodiscard]] const Router& router() const { return router_; }
  /// Where it listens, for the log.
  [[nodiscard]] std::string where() const;

 private:
  explicit Interface(Parts parts);
  Result<void> open_servers();
  void add_routes();
  [[nodiscard]] nlohmann::ordered_json status_for(const Caller& caller);
  [[nodiscard]] Connections connections() const;

  Parts parts_;
  Router router_;
  BookReader reader_;
  BookReader curves_;                ///< its own, so that no curve waits for a report
  std::unique_ptr<ClassWall> wall_;  ///< null where the bench file has no [class]
  StreamHub hub_;
  TokenKeeper tokens_;
  std::unique_ptr<UnixServer> control_;
  std::unique_ptr<TcpServer> page_;
};

}  // namespace nestcup::daemon
