// Files of a WebDAV notebook that come whole, and never over what a person wrote.
//
// A new file is put into a collection of our own first, compared, and moved to its name where
// nothing is. To take the place of an old one, that is moved aside before, under another name that
// tells whose it is; only then it is looked at once more, so that nobody's last edit is missed. Cut
// off in between, recover() puts it back.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "core/notebook/webdav/dav_server.hpp"

namespace nestcup {

class DavFiles {
 public:
  using Known = std::function<bool(const std::string& bytes)>;

  /// @param mark  tells files under way of this store from others'
  DavFiles(DavServer& server, const std::string& mark);

  /// Makes ready the collection of what is under way, and removes what was left there.
  [[nodiscard]] Result<void> begin();
  /// A name for something under way, used by nobody yet.
  [[nodiscard]] std::string new_name();
  /// @return taken: something is there, all is as it was
  [[nodiscard]] Result<Moved> add(const std::string& path, const std::string& bytes);
  /// Puts new bytes in the place of known ones.
  /// @param aside  the collection in which the old ones lie meanwhile
  /// @return whether they are; false where something else is there
  [[nodiscard]] Result<bool> replace(const std::string& path, const std::string& bytes,
                                     const std::string& aside, const Known& known);
  /// Puts bytes there whatever is there.
  [[nodiscard]] Result<void> set(const std::string& path, const std::string& bytes);

  /// Puts back what was moved aside and has nothing in its place.
  /// @param aside    collection in which it lies
  /// @param entries  what is in there
  /// @param home     collection to which it belongs
  [[nodiscard]] Result<void> put_back(const std::string& aside,
                                      const std::vector<DavEntry>& entries,
                                      const std::string& home);
  /// Removes what lies aside still and is known; what is not comes to lie beside its place under a
  /// name that shows it ("page.kept-1f3a.md").
  [[nodiscard]] Result<void> clear(const std::string& aside, const std::vector<DavEntry>& entries,
                                   const std::string& home, const Known& known);

  /// The collection of what is under way.
  [[nodiscard]] const std::string& arriving() const { return arriving_; }

 private:
  [[nodiscard]] Result<void> set_once(const std::string& path, const std::string& bytes);
  [[nodiscard]] Result<Moved> settle(const std::string& under_way, const std::string& path,
                                     const std::string& bytes, Result<Moved> answer);
  [[nodiscard]] std::string name_aside(const std::string& name);
  [[nodiscard]] std::string name_in(const std::string& aside) const;
  [[nodiscard]] Result<void> show(const std::string& from, const std::string& home,
                                  const std::string& name);

  DavServer& server_;
  std::string mark_;
  std::string arriving_;
};

/// "folder/name", or the name alone at the top.
[[nodiscard]] std::string dav_below(const std::string& folder, const std::string& name);

}  // namespace nestcup
