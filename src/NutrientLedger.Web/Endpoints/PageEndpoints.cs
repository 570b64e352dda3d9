using System.Collections.Frozen;
using System.Reflection;
using System.Security.Cryptography;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using Microsoft.Net.Http.Headers;

namespace NutrientLedger.Web.Endpoints;

/// <summary>
/// Serves the page from this assembly, so that it does not depend on the working directory. The browser may load
/// nothing from other sites and run no inline script.
/// </summary>
internal static class PageEndpoints
{
    private const string ResourcePrefix = "page/";

    private const string ContentSecurityPolicy =
        "default-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; object-src 'none'";

    private static readonly FrozenDictionary<string, string> ContentTypes = new Dictionary<string, string>
    {
        [".html"] = "text/html; charset=utf-8",
        [".css"] = "text/css; charset=utf-8",
        [".js"] = "text/javascript; charset=utf-8",
        [".svg"] = "image/svg+xml",
    }.ToFrozenDictionary();

    public static void MapPage(this IEndpointRouteBuilder routes)
    {
        var files = Files();
        routes
            .MapMethods("/", ["GET", "HEAD"], (HttpContext context) => Serve(context, files["index.html"]))
            .ExcludeFromDescription();
        foreach (var (name, file) in files)
            routes
                .MapMethods($"/page/{name}", ["GET", "HEAD"], (HttpContext context) => Serve(context, file))
                .ExcludeFromDescription();
    }

    /// <summary>Security headers of every page.</summary>
    internal static void Protect(IHeaderDictionary headers)
    {
        headers.ContentSecurityPolicy = ContentSecurityPolicy;
        headers.XContentTypeOptions = "nosniff";
        headers["Referrer-Policy"] = "no-referrer";
    }

    private static FileContentHttpResult Serve(HttpContext context, PageFile file)
    {
        var headers = context.Response.Headers;
        Protect(headers);
        // The browser asks each time and gets 304 if the tag is unchanged, so it shows no old page after an update.
        headers.CacheControl = "no-cache";
        return TypedResults.Bytes(file.Bytes, file.ContentType, entityTag: file.Tag);
    }

    private static FrozenDictionary<string, PageFile> Files()
    {
        var assembly = Assembly.GetExecutingAssembly();
        var files = new Dictionary<string, PageFile>();
        foreach (
            var resource in assembly
                .GetManifestResourceNames()
                .Where(name => name.StartsWith(ResourcePrefix, StringComparison.Ordinal))
        )
        {
            using var stream = assembly.GetManifestResourceStream(resource)!;
            var bytes = new byte[stream.Length];
            stream.ReadExactly(bytes);
            var tag = new EntityTagHeaderValue($"\"{Convert.ToHexStringLower(SHA256.HashData(bytes))[..16]}\"");
            files[resource[ResourcePrefix.Length..]] = new(bytes, ContentTypes[Path.GetExtension(resource)], tag);
        }
        return files.ToFrozenDictionary();
    }

    private sealed record PageFile(byte[] Bytes, string ContentType, EntityTagHeaderValue Tag);
}
