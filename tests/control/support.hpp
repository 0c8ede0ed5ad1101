// A control server on its own thread, in its own folder, and ways to talk to it that are not ours.
#pragma once

#include <boost/asio/executor_work_guard.hpp>
#include <boost/asio/io_context.hpp>
#include <chrono>
#include <functional>
#include <future>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "daemon/control/unix_server.hpp"

namespace nestcup::test {

/// A folder that goes with the object.
class TemporaryFolder {
 public:
  TemporaryFolder();
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  ~TemporaryFolder();
  [[nodiscard]] std::string path(const std::string& name) const { return folder_ + "/" + name; }

 private:
  std::string folder_;
};

/// A plain blocking Unix socket, so that malformed bytes can be sent as they are.
class RawCaller {
 public:
  explicit RawCaller(const std::string& path);
  RawCaller(const RawCaller&) = delete;
  RawCaller& operator=(const RawCaller&) = delete;
  ~RawCaller();

  /// False where the server no longer listens to us.
  bool send(const std::string& bytes) const;
  /// Everything until the server closes, or until `patience` is over.
  [[nodiscard]] std::string read_all(std::chrono::milliseconds patience) const;
  /// At least one byte's worth of answer, as far as it comes in one piece.
  [[nodiscard]] std::string read_some(std::chrono::milliseconds patience) const;
  /// True once the server has closed.
  [[nodiscard]] bool closed_within(std::chrono::milliseconds patience) const;
  void close();

 private:
  int socket_ = -1;
};

/// Server, routes and a second thread that answers late, as the store's does.
class ServerFixture {
 public:
  ServerFixture() : ServerFixture(daemon::UnixServerOptions{}) {}
  explicit ServerFixture(daemon::UnixServerOptions options);
  ServerFixture(const ServerFixture&) = delete;
  ServerFixture& operator=(const ServerFixture&) = delete;
  ~ServerFixture();

  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] const TemporaryFolder& folder() const { return folder_; }

  /// Runs on the server's thread and hands back what came out.
  template <class Function>
  auto on_server(Function function) {
    std::packaged_task<decltype(function())()> task(std::move(function));
    auto result = task.get_future();
    boost::asio::post(context_, [&task] { task(); });
    return result.get();
  }

  std::size_t open_connections() {
    return on_server([this] { return server_->open_connections(); });
  }
  /// Waits, up to fifteen seconds, until this many connections are open.
  bool settles_at(std::size_t connections);
  void stop() {
    on_server([this] { server_->stop(); });
  }
  std::vector<std::string> reports();

 private:
  void add_routes();

  TemporaryFolder folder_;
  std::string path_ = folder_.path("control.sock");
  boost::asio::io_context context_{1};
  boost::asio::executor_work_guard<boost::asio::io_context::executor_type> work_{
      context_.get_executor()};
  std::mutex mutex_;
  std::vector<std::string> reports_;
  daemon::Router router_;
  std::vector<daemon::Reply> never_answered_;
  std::vector<std::thread> late_;
  std::unique_ptr<daemon::UnixServer> server_;
  std::thread thread_;
};

/// What curl printed with these arguments: status line, header and body.
std::string curl(const std::string& socket_path, const std::string& arguments);

}  // namespace nestcup::test
