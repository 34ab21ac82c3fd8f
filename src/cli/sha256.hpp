// SHA-256 of bytes that come piece by piece. OpenSSL uses the processor's own instructions where it has them.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <thresh/core/result.hpp>
#include <thresh/intake/byte_source.hpp>

namespace thresh::cli {

class Sha256 {
  public:
    // Error: the library has no SHA-256 (a policy of the system may forbid one).
    static Result<Sha256> begin();
    void add(std::string_view bytes);
    // Of all that was added, in hexadecimal. Call once.
    std::string hex();

  private:
    struct Free {
        void operator()(void* context) const;
    };
    explicit Sha256(void* context) : context_(context) {}
    std::unique_ptr<void, Free> context_;
};

// Of all bytes of a source, in hexadecimal.
Result<std::string> sha256(const intake::ByteSource& bytes);

} // namespace thresh::cli
