#include "drivers/line/port_list.hpp"

#include <fmt/format.h>
#include <libserialport.h>

#include <algorithm>
#include <filesystem>
#include <memory>

namespace nestcup::drivers {
namespace {

namespace fs = std::filesystem;

std::string text_or_empty(const char* text) {
  return text == nullptr ? "" : text;
}

PortListing describe(const sp_port* port) {
  PortListing listing;
  listing.path = text_or_empty(sp_get_port_name(port));
  listing.link = lasting_link(listing.path);
  listing.description = text_or_empty(sp_get_port_description(port));
  UsbId usb;
  if (sp_get_port_usb_vid_pid(port, &usb.vendor, &usb.product) == SP_OK) listing.usb = usb;
  listing.serial_number = text_or_empty(sp_get_port_usb_serial(port));
  listing.access = look_at_port(listing.path);
  return listing;
}

}  // namespace

Result<std::vector<PortListing>> list_ports() {
  sp_port** found = nullptr;
  if (sp_list_ports(&found) != SP_OK) {
    return Error{Fault::io, "the system does not list its serial ports; is /sys mounted?"};
  }
  const std::unique_ptr<sp_port*, void (*)(sp_port**)> owner(found, &sp_free_port_list);
  std::vector<PortListing> listings;
  for (sp_port** port = found; *port != nullptr; ++port) listings.push_back(describe(*port));
  std::sort(listings.begin(), listings.end(),
            [](const PortListing& a, const PortListing& b) { return a.path < b.path; });
  return listings;
}

std::optional<std::string> lasting_link(const std::string& path, const std::string& folder) {
  std::optional<std::string> best;
  std::error_code fault;
  const fs::path wanted = fs::canonical(path, fault);
  if (fault) return std::nullopt;
  for (fs::directory_iterator entry(folder, fault), end; !fault && entry != end;
       entry.increment(fault)) {
    std::error_code dangling;
    const fs::path target = fs::canonical(entry->path(), dangling);
    const std::string link = entry->path().string();
    if (!dangling && target == wanted && (!best || link < *best)) best = link;
  }
  return best;
}

}  // namespace nestcup::drivers
