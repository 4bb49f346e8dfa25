// The address of bytes in memory, for as long as a picture of them is shown.
import { useEffect, useState } from "preact/hooks";

export function useObjectUrl(content: Blob | null): string | null {
  const [url, setUrl] = useState<string | null>(null);
  useEffect(() => {
    if (!content) return;
    const made = URL.createObjectURL(content);
    setUrl(made);
    return () => {
      URL.revokeObjectURL(made);
      setUrl(null);
    };
  }, [content]);
  return url;
}
