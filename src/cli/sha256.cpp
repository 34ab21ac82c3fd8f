#include "cli/sha256.hpp"

#include <array>
#include <fmt/format.h>
#include <openssl/evp.h>

namespace thresh::cli {

namespace {

EVP_MD_CTX* in_library(void* context) {
    return static_cast<EVP_MD_CTX*>(context);
}

} // namespace

void Sha256::Free::operator()(void* context) const {
    EVP_MD_CTX_free(in_library(context));
}

Result<Sha256> Sha256::begin() {
    Sha256 made(EVP_MD_CTX_new());
    if (!made.context_ || EVP_DigestInit_ex(in_library(made.context_.get()), EVP_sha256(), nullptr) != 1)
        return fail("SHA-256 is not available");
    return made;
}

void Sha256::add(std::string_view bytes) {
    EVP_DigestUpdate(in_library(context_.get()), bytes.data(), bytes.size());
}

std::string Sha256::hex() {
    std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
    unsigned length = 0;
    EVP_DigestFinal_ex(in_library(context_.get()), digest.data(), &length);
    std::string hex;
    for (unsigned i = 0; i < length; ++i)
        hex += fmt::format("{:02x}", digest[i]);
    return hex;
}

Result<std::string> sha256(const intake::ByteSource& bytes) {
    auto hash = Sha256::begin();
    if (!hash)
        return tl::unexpected(hash.error());
    std::string buffer(1 << 18, '\0');
    for (std::uint64_t offset = 0; offset < bytes.size();) {
        const auto got = bytes.read_at(offset, buffer.data(), buffer.size());
        if (!got)
            return tl::unexpected(got.error());
        if (*got == 0)
            break;
        hash->add({buffer.data(), *got});
        offset += *got;
    }
    return hash->hex();
}

} // namespace thresh::cli
