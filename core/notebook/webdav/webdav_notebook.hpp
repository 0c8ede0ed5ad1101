// A notebook on a WebDAV server (RFC 4918): the same folders and files as in one that is a folder
// (folder_notebook.hpp), so that either may become the other by copying.
#pragma once

#include <string>

#include "core/notebook/arrived.hpp"
#include "core/notebook/notebook.hpp"
#include "core/notebook/webdav/dav_files.hpp"

namespace nestcup {

class WebdavNotebook : public Notebook {
 public:
  WebdavNotebook(const NotebookSettings& settings, const std::string& mark, HttpClient client);

  [[nodiscard]] const std::string& name() const override { return name_; }
  [[nodiscard]] bool wants_charts() const override { return wants_charts_; }
  /// @errors unavailable: the collection is gone; as DavServer
  [[nodiscard]] Result<void> begin(bool has_runs) override;
  [[nodiscard]] Result<Arrival> bring(const RunEntry& entry) override;
  [[nodiscard]] Result<KeptHead> head(const std::string& book, const std::string& bench) override;
  [[nodiscard]] Result<void> keep_head(const KeptHead& head) override;
  [[nodiscard]] Result<std::vector<std::string>> keep_index(const KeptHead& head,
                                                            const IndexNews& news) override;
  /// As the server asked for; a quarter of an hour where it did not take the login, so that nobody
  /// is locked out for trying again and again.
  [[nodiscard]] double wanted_pause_s() const override { return server_.wanted_pause_s(); }

 private:
  enum class Here { nobody, this_run, another };

  [[nodiscard]] Result<Here> who_is_at(const std::string& folder, const RunEntry& entry);
  [[nodiscard]] Result<std::string> upload(const RunEntry& entry);
  [[nodiscard]] Result<Arrival> bring_to(const std::string& folder, const RunEntry& entry);
  [[nodiscard]] Result<ArrivedRun> arrived_at(const std::string& folder, const RunEntry& entry);
  [[nodiscard]] Result<void> bring_file(const std::string& folder, const ArrivedRun& there,
                                        const RunEntry& entry, const BundleFile& file,
                                        Arrival& arrival);
  [[nodiscard]] Result<void> add_missing(const std::string& folder, const RunEntry& entry);
  [[nodiscard]] Result<KeptHead> head_at(const std::string& path);
  [[nodiscard]] Result<void> recover_index();

  std::string name_;
  bool wants_charts_;
  DavServer server_;
  DavFiles files_;
};

}  // namespace nestcup
