// XML parts as a stream of tags and text, names without their namespace prefix.
#pragma once

#include "intake/xlsx/archive.hpp"

#include <optional>
#include <string_view>
#include <thresh/core/result.hpp>

namespace thresh::intake::xlsx {

// The attributes of one start tag; valid during the call only.
class Attributes {
  public:
    explicit Attributes(const char** pairs) : pairs_(pairs) {}
    // Value of the attribute with this name, whatever its prefix.
    std::optional<std::string_view> find(std::string_view name) const;
    // As an XML boolean: `1` and `true` are yes.
    bool is_true(std::string_view name) const;

    const char** pairs() const { return pairs_; } // name, value, ..., nullptr: for the reader of cells

  private:
    const char** pairs_;
};

class XmlHandler {
  public:
    virtual ~XmlHandler() = default;
    virtual void start(std::string_view name, const Attributes& attributes) = 0;
    virtual void end(std::string_view /*name*/) {}
    virtual void text(std::string_view /*piece*/) {}

    // Set by the handler to end the reading: with an error, or because it has what it wants.
    bool stopped() const { return stopped_; }
    const std::optional<Error>& error() const { return error_; }

  protected:
    void stop() { stopped_ = true; }
    void stop(Error error) {
        stopped_ = true;
        if (!error_)
            error_ = std::move(error);
    }

  private:
    bool stopped_ = false;
    std::optional<Error> error_;
};

// Streams one part through the handler. Error when the part is absent, not well-formed, holds a document type
// definition, passes a limit, or when the handler stopped with an error.
Result<void> parse_part(const Archive& archive, std::string_view part, XmlHandler& handler);

} // namespace thresh::intake::xlsx
