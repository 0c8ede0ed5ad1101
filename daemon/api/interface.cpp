#include "daemon/api/interface.hpp"

#include <utility>

#include "daemon/api/api.hpp"
#include "daemon/api/calibration_api.hpp"
#include "daemon/api/class_api.hpp"
#include "daemon/api/delivery_api.hpp"
#include "daemon/api/description_api.hpp"
#include "daemon/api/health_api.hpp"
#include "daemon/api/metrics_api.hpp"
#include "daemon/api/page_files.hpp"
#include "daemon/api/readings_api.hpp"
#include "daemon/api/results_api.hpp"
#include "daemon/api/revision_api.hpp"
#include "daemon/api/sheet_api.hpp"
#include "daemon/api/sign_in_api.hpp"
#include "daemon/api/status.hpp"

namespace nestcup::daemon {
namespace {

BenchListener listener_for(StreamHub& hub) {
  return {[&hub](std::size_t probe, TimeUs time_us, double temperature_degC) {
            hub.reading(probe, time_us, temperature_degC);
          },
          [&hub](const StoredEvent& event) { hub.event(event.time_us, event.kind, event.detail); },
          [&hub] { hub.changed(); }};
}

}  // namespace

Interface::Interface(Parts parts)
    : parts_(std::move(parts)),
      router_(parts_.log.at(LogLevel::error)),
      reader_(parts_.bench.file().store, parts_.log),
      curves_(parts_.bench.file().store, parts_.log),
      hub_(
          parts_.context, parts_.bench.file().probes.size(),
          [this](const Caller& caller) { return status_for(caller); },
          [this](const Caller& caller) { return tokens_.still_knows(caller); }),
      tokens_(token_file_path(parts_.bench.file().store), parts_.log.at(LogLevel::warning)) {
  const BenchFile& file = parts_.bench.file();
  if (file.class_place) wall_ = std::make_unique<ClassWall>(*file.class_place, parts_.log);
  add_routes();
  parts_.bench.tell(listener_for(hub_));
}

Interface::~Interface() {
  stop();
}

Result<std::unique_ptr<Interface>> Interface::open(Parts parts) {
  std::unique_ptr<Interface> made(new Interface(std::move(parts)));
  if (auto opened = made->open_servers(); !opened) return opened.error();
  return made;
}

nlohmann::ordered_json Interface::status_for(const Caller& caller) {
  return status_for_caller({parts_.bench, parts_.delivery, parts_.housekeeping, parts_.check,
                            parts_.service(), parts_.speed},
                           caller);
}

Connections Interface::connections() const {
  return {control_ ? control_->open_connections() : 0, page_ ? page_->open_connections() : 0,
          hub_.watchers()};
}

void Interface::add_routes() {
  router_.add({"GET", "/v1/status", answer_at_once([this](const Request& request) {
                 return json_response(status_for(request.caller));
               })});
  add_health_routes(router_, parts_.bench);
  add_description_routes(router_);
  add_bench_routes(router_, parts_.bench);
  add_delivery_routes(router_, parts_.bench, parts_.delivery);
  add_revision_routes(router_, parts_.bench);
  add_calibration_routes(router_, parts_.bench);
  add_readings_routes(router_, parts_.bench, curves_);
  add_sheet_routes(router_, parts_.bench, reader_);
  add_results_routes(router_, parts_.bench, reader_);
  add_class_routes(router_, parts_.bench, wall_.get());
  add_metrics_routes(router_,
                     {parts_.bench, parts_.delivery, curves_, [this] { return connections(); }});
  router_.add_stream("/v1/stream",
                     [this](StreamStart start) { return hub_.join(std::move(start)); });
}

Result<void> Interface::open_servers() {
  const BenchFile& file = parts_.bench.file();
  UnixServerOptions socket;
  socket.path = file.control;
  socket.report = parts_.log.at(LogLevel::warning);
  auto control = UnixServer::open(parts_.context, router_, std::move(socket));
  if (!control) return control.error();
  control_ = std::move(*control);
  if (file.listen.empty()) return {};
  TcpServerOptions tcp;
  tcp.address = file.listen;
  tcp.names = file.page.names;
  tcp.connections = static_cast<std::size_t>(file.page.connections);
  tcp.connections_per_peer = static_cast<std::size_t>(file.page.connections_per_address);
  tcp.token_owner = [this](std::string_view token) { return tokens_.owner(token); };
  tcp.report = parts_.log.at(LogLevel::warning);
  auto page = TcpServer::open(parts_.context, router_, std::move(tcp));
  if (!page) return page.error();
  page_ = std::move(*page);
  add_sign_in_routes(router_, page_->gate());
  add_page_routes(router_);
  return {};
}

void Interface::stop() {
  if (control_) control_->stop();
  if (page_) page_->stop();
  reader_.stop();
  curves_.stop();
  if (wall_) wall_->stop();
}

std::string Interface::where() const {
  std::string text = "control " + parts_.bench.file().control;
  if (page_) text += ", page " + page_->url();
  return text;
}

}  // namespace nestcup::daemon
